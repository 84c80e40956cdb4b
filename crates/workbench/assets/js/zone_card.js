// The card of a zone: why it is one, how each line fits, what stands there, and choices by hand.
import { announce } from './announce.js';
import { read, Refusal } from './api.js';
import { button, h, put } from './dom.js';
import { fitBar } from './fit_bar.js';
import { keeping, leave } from './focus.js';
import { lookOf } from './palette.js';
import { swatch } from './patterns.js';
import { problemList } from './problems.js';
import { isNarrow } from './rooms.js';
import { choose, on, state } from './store.js';
import { factsOf, inWords } from './map/spoken.js';
import { stepZone } from './map/main_map.js';
import { measured, number, percent } from './words.js';
import { zoneChoices } from './zone_choices.js';

/** Keeps the card up to date. @param {HTMLElement} box */
export function startCard(box) {
  const [above, below] = [h('div'), h('div')];
  let choices = null; // fields of the zone that is shown: they outlast what stands around them
  let asked = 0;
  let told = null; // what the card was last opened for

  const show = async () => {
    const { chosen, scene } = state;
    asked += 1;
    const mine = asked;
    box.hidden = !chosen;
    if (!chosen) {
      told = null;
      choices = null;
      put(box);
      return;
    }
    if (chosen.kind !== 'zone') {
      plain(top(nameOf(chosen.id)), h('p', {}, inWords(scene, chosen)), factList(factsOf(state, chosen)));
      return;
    }
    try {
      const answer = await read(`/api/zone/${encodeURIComponent(chosen.id)}`);
      if (mine === asked) ofZone(answer);
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      if (mine === asked) plain(top(chosen.id), h('p', {}, inWords(scene, chosen)), problemList(fault.problems));
    }
  };

  function plain(...parts) {
    choices = null;
    redraw(() => put(box, ...parts));
  }

  function ofZone({ zone, fits, blocks, choice, cautions }) {
    const ground = state.geometry.zones[state.scene.zones.rows.findIndex((row) => row[0] === zone.zone_id)];
    const isSame = choices?.isOf(zone.zone_id, ground, fits) ?? false;
    if (!isSame) choices = zoneChoices(zone.zone_id, ground, fits);
    redraw(() => {
      put(above, ...reasons({ zone, blocks }));
      put(below, fitting(fits), cautionList(cautions));
      if (!isSame || !above.isConnected) put(box, above, choices.section, below);
      choices.show(fits, choice);
    });
  }

  /** Draws with the scroll and the focus where they were, or comes into sight for something new. */
  function redraw(draw) {
    const scroll = box.scrollTop;
    keeping(box, draw, ({ dataset: { keep } }) => box.querySelector(`[data-keep="${keep}"]`) ?? box);
    const isNew = told !== state.chosen;
    told = state.chosen;
    box.scrollTop = isNew ? 0 : scroll;
    if (isNew && isNarrow()) {
      box.querySelector('.top').scrollIntoView({ block: 'nearest' });
      announce('Its card is below the map.');
    }
  }

  on('chosen', show);
  on('scene', show);
}

function top(id) {
  return h('div', { class: 'top' }, h('h2', {}, id), h('div', { class: 'row' },
    button('‹', () => stepZone(-1), { 'aria-label': 'Zone before', dataset: { keep: 'before' } }),
    button('›', () => stepZone(1), { 'aria-label': 'Next zone', dataset: { keep: 'after' } }),
    button('Close', () => { choose(null); leave(); }, { dataset: { keep: 'close' } })));
}

function reasons({ zone, blocks }) {
  return [
    top(`Zone ${zone.zone_id}`),
    h('p', { class: 'reason' }, zone.reason, '.'),
    zone.short_reason ? h('p', { class: 'quiet' }, zone.short_reason) : null,
    facts(zone),
    planting(zone, blocks),
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

function fitting(fits) {
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
