// Cover by year: asked for, shown over the map, and put away when the plan has changed.
import { read, Refusal } from '../api.js';
import { announce } from '../announce.js';
import { button, h, id, put } from '../dom.js';
import { coverLegend } from '../legend.js';
import { showPicture } from '../map/layers.js';
import { settled } from '../plan.js';
import { problemList } from '../problems.js';
import { choose, on, set, state } from '../store.js';
import { measured } from '../words.js';

const GONE = 'The plan has changed: ask for the cover again.';

/** @param {Record<string, object>} layers of the map @returns {HTMLElement} */
export function coverSection(layers) {
  const body = h('div');
  let of = null; // revision of the plan whose cover is shown

  const ask = async () => {
    put(body, h('p', {}, 'Reckoning the cover …'));
    try {
      await settled();
      const { revision } = state.scene;
      const cover = await read('/api/cover');
      of = cover.revision ?? revision;
      if (of === state.scene.revision) set('cover', cover);
      else put(body, h('p', { class: 'hint' }, GONE)); // of a plan that was, or of one that the page does not show yet
    } catch (fault) {
      if (!(fault instanceof Refusal)) throw fault;
      put(body, problemList(fault.problems));
    }
  };
  const show = button('Show cover by year', ask);

  function away() {
    hide(layers);
    set('cover', null);
    if (state.chosen?.kind === 'piece') choose(null);
  }

  on('cover', (cover) => {
    if (!cover) return;
    const hidden = button('Hide the cover', () => { away(); put(body); show.focus(); announce('Cover hidden.'); });
    put(body, ...tools(cover, of, layers), h('p', { class: 'row' }, hidden));
  });
  on('scene', ({ revision }) => {
    if (!state.cover || revision === of) return;
    away();
    put(body, h('p', { class: 'hint' }, GONE));
    announce(GONE);
  });
  return h('section', {}, h('h2', {}, 'Cover by year'), h('p', { class: 'hint' }, 'How much of the ground that may slip is protected, year by year. It does not say that a slope will hold.'), h('div', { class: 'row' }, show), body);
}

function hide(layers) {
  layers.letters.setVisible(layers.mosaic.getVisible());
  layers.cover.setVisible(false);
  layers.pieces.setVisible(false);
  set('coverYear', null);
}

function tools(cover, of, layers) {
  const { years } = cover;
  const told = h('p', { role: 'status' });
  const range = h('input', { type: 'range', min: 0, max: years.length - 1, step: 1, id: id('year') });
  const below = h('input', { type: 'checkbox', id: id('below') });
  below.checked = true;
  const show = () => {
    const one = years[Number(range.value)];
    range.setAttribute('aria-valuetext', nameOf(one.year));
    told.textContent = `${nameOf(one.year)}: ${measured(one.protected_plan_ha, 'ha of map')} protected; ${measured(one.may_slip_plan_ha, 'ha of map')} may slip, ${measured(one.below_plan_ha, 'ha of map')} of it below the target of ${Math.round(cover.target * 100)} %.`;
    showPicture(layers.cover, state.property, `/api/cover/${one.year ?? 'today'}.png?of=${of}`, cover.extent);
    layers.cover.setVisible(true);
    layers.letters.setVisible(false);
    layers.pieces.setVisible(below.checked);
    set('coverYear', one.year);
  };
  const step = (by) => () => { range.value = Number(range.value) + by; show(); };
  range.addEventListener('input', show);
  below.addEventListener('change', show);
  const target = years.findIndex((one) => one.year === cover.by_years);
  range.value = target >= 0 ? target : years.length - 1;
  show();
  return [
    cover.problems?.length ? problemList(cover.problems) : null,
    h('div', { class: 'field' }, h('label', { for: range.id }, 'Year'),
      h('div', { class: 'slider' }, button('‹', step(-1), { 'aria-label': 'Year before' }), range, button('›', step(1), { 'aria-label': 'Next year' }))),
    told,
    h('div', { class: 'tick' }, below, h('label', { for: below.id }, `Pieces below the target after ${cover.by_years} years (${cover.pieces.rows.length})`)),
    coverLegend(),
  ];
}

/** A year of the calendar, or one counted from planting. */
function nameOf(year) {
  if (year === null) return 'Today';
  return year > 1900 ? `Year ${year}` : year === 0 ? 'At planting' : `${year} years after planting`;
}
