// The card of a zone: why it is one, how each line fits, what stands there, and choices by hand.
import { read, Refusal } from './api.js';
import { button, field, h, put } from './dom.js';
import { fitBar } from './fit_bar.js';
import { change } from './plan.js';
import { lookOf } from './palette.js';
import { swatch } from './patterns.js';
import { problemList } from './problems.js';
import { choose, on, state } from './store.js';
import { factsOf, inWords } from './map/spoken.js';
import { stepZone } from './map/main_map.js';
import { measured, number, percent } from './words.js';

/** Keeps the card up to date. @param {HTMLElement} box */
export function startCard(box) {
  let asked = 0;
  const show = async () => {
    const { chosen, scene } = state;
    asked += 1;
    const mine = asked;
    box.hidden = !chosen;
    if (!chosen) {
      put(box);
      return;
    }
    if (chosen.kind !== 'zone') {
      put(box, top(nameOf(chosen.id)), h('p', {}, inWords(scene, chosen)), factList(factsOf(state, chosen)));
      return;
    }
    try {
      const told = await read(`/api/zone/${encodeURIComponent(chosen.id)}`);
      if (mine === asked) redraw(box, told);
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      if (mine === asked) put(box, top(chosen.id), h('p', {}, inWords(scene, chosen)), problemList(fault.problems));
    }
  };
  on('chosen', show);
  on('scene', show);
}

/** Draws the card anew with the scroll and the focus where they were. */
function redraw(box, told) {
  const scroll = box.scrollTop;
  const held = box.contains(document.activeElement) ? document.activeElement.dataset.keep : null;
  put(box, ...card(told));
  box.scrollTop = scroll;
  if (held) box.querySelector(`[data-keep="${held}"]`)?.focus({ preventScroll: true });
}

function top(id) {
  return h('div', { class: 'top' }, h('h2', {}, id), h('div', { class: 'row' },
    button('‹', () => stepZone(-1), { 'aria-label': 'Zone before', dataset: { keep: 'before' } }),
    button('›', () => stepZone(1), { 'aria-label': 'Next zone', dataset: { keep: 'after' } }),
    button('Close', () => { choose(null); document.getElementById('map')?.focus(); }, { dataset: { keep: 'close' } })));
}

function card({ zone, fits, blocks, choice, cautions }) {
  return [
    top(`Zone ${zone.zone_id}`),
    h('p', {}, zone.reason, '.'),
    zone.short_reason ? h('p', { class: 'quiet' }, zone.short_reason) : null,
    facts(zone),
    planting(zone, blocks),
    byHand(zone, fits, choice),
    fitting(zone, fits),
    cautionList(cautions),
  ];
}

function facts(zone) {
  const rows = [
    ['Area', `${measured(zone.plan_area_ha, 'ha of map')}, ${measured(zone.ground_area_ha, 'ha of slope')}`],
    ['Slope', `mean ${number(zone.slope_mean_deg, 0)}°, nine tenths not over ${number(zone.slope_p90_deg, 0)}°`],
    ['Height', `${number(zone.elevation_min_m)} to ${number(zone.elevation_max_m)} m`],
    ['Open to plant', percent(zone.gap_share)],
    ['Widest', `${number(zone.widest_m)} m`],
  ];
  return factList(rows);
}

function factList(rows) {
  return h('dl', { class: 'facts' }, ...rows.flatMap(([name, what]) => [h('dt', {}, name), h('dd', {}, what)]));
}

function planting(zone, blocks) {
  const rows = blocks.map((block) => {
    const line = state.scene.lines.find((one) => one.stock_id === block.stock_id);
    return h('li', {},
      h('b', {}, line ? `${line.letter} ${line.name}` : block.stock_id), ` on ${percent(block.share)}: ${number(block.seedlings)} plants, order ${number(block.order_qty)}; `,
      `${number(block.density_sph)} plants to a hectare of ${block.density_basis === 'plan' ? 'map' : 'slope'}, ${number(block.spacing_m, 2)} m apart. `,
      h('span', { class: 'quiet' }, `${block.reason}.`));
  });
  const left = zone.left_share > 0 ? h('p', {}, `${percent(zone.left_share)} is left to regenerate: ${zone.left_reason || 'no line takes it'}.`) : null;
  const second = zone.runner_up
    ? h('p', { class: 'quiet' }, `Runner-up: ${nameOf(zone.runner_up)}, worth ${number(zone.runner_up_less ?? 0, 3)} well-fitted ha less for each ha.`)
    : h('p', { class: 'quiet' }, 'Runner-up: none allowed.');
  return h('section', {}, h('h3', {}, 'What stands there'), rows.length ? h('ul', {}, ...rows) : h('p', {}, 'No line is planted.'), left, second);
}

function nameOf(stock) {
  return state.scene.lines.find((one) => one.stock_id === stock)?.name ?? stock;
}

function fitting(zone, fits) {
  const best = [...fits].sort((a, b) => b.fit - a.fit);
  return h('section', {}, h('h3', {}, 'How each line fits'),
    h('p', { class: 'hint' }, 'Fit from 0 to 1. Shares of ground: S1 high, S2 moderate, S3 marginal, N not suitable.'),
    ...best.map((fit) => h('div', { class: 'fit' },
      h('div', { class: 'head' }, swatch(lookOf({ ...fit, pattern: patternOf(fit.stock_id) })), h('span', {}, fit.name), h('b', {}, `${number(fit.fit, 2)} · ${fit.fit_class}`)),
      fitBar(fit),
      fit.barred ? h('p', {}, `Barred: ${fit.barred}`) : null,
      h('p', { class: 'quiet' }, fit.limiting_factor ? `${fit.sentence}.` : 'Nothing holds it back.'))));
}

function patternOf(stock) {
  return state.scene.lines.find((one) => one.stock_id === stock)?.pattern ?? 'plain';
}

function cautionList(cautions) {
  if (!cautions?.length) return null;
  return h('section', {}, h('h3', {}, `Cautions (${cautions.length})`), h('ul', {}, ...cautions.map((one) => h('li', {}, one))));
}

/** Choices by hand: each is sent as soon as it is made. */
function byHand(zone, fits, choice) {
  const now = { line: choice?.line ?? null, forbid: choice?.forbid ?? [], density_sph: choice?.density_sph ?? null, note: choice?.note ?? '' };
  const sendIt = (part) => change({ choice: { zone: zone.zone_id, ...now, ...part } });
  const line = h('select', { dataset: { keep: 'line' }, onchange: () => sendIt({ line: line.value || null }) },
    h('option', { value: '' }, 'left to the plan'),
    ...fits.map((fit) => h('option', { value: fit.stock_id }, `${fit.letter} ${fit.name} (fit ${number(fit.fit, 2)})`)));
  line.value = now.line ?? '';
  const density = h('input', { type: 'number', min: 1, max: 100000, step: 'any', value: now.density_sph ?? '', dataset: { keep: 'density' }, onchange: () => sendIt({ density_sph: density.value === '' ? null : density.valueAsNumber }) });
  const note = h('input', { type: 'text', maxlength: 400, value: now.note, dataset: { keep: 'note' }, onchange: () => sendIt({ note: note.value }) });
  const forbid = fits.map((fit) => {
    const box = h('input', { type: 'checkbox', id: `forbid-${fit.stock_id}`, dataset: { keep: `forbid-${fit.stock_id}` }, onchange: () => sendIt({ forbid: box.checked ? [...now.forbid, fit.stock_id] : now.forbid.filter((one) => one !== fit.stock_id) }) });
    box.checked = now.forbid.includes(fit.stock_id);
    return h('span', { class: 'tick' }, box, h('label', { for: box.id }, `${fit.letter} ${fit.name}`));
  });
  return h('section', {}, h('h3', {}, 'Choices by hand'),
    field('Fix the line', line),
    h('fieldset', { class: 'forbid' }, h('legend', {}, 'Never here'), ...forbid),
    field('Plants to a hectare', density, 'Empty: as the density rules say.'),
    field('Note', note, 'Kept with the choice.'),
    button('Leave all to the plan', () => change({ choice: { zone: zone.zone_id, line: null, forbid: [], density_sph: null, note: '' } }), { disabled: !choice, dataset: { keep: 'reset' } }));
}

