// Choices by hand for one zone: each is sent as soon as it is made, and tells what has changed alone.
import { able, button, field, h } from './dom.js';
import { entry, numberOf, textOf, Unfit } from './entry.js';
import { change } from './plan.js';
import { state } from './store.js';
import { number } from './words.js';

/**
 * Fields for the choices of `zone`, which has the polygons `ground`.
 *
 * @param {string} zone
 * @param {{stock_id: string, name: string, letter: string}[]} lines that may stand there
 * @returns {{section: HTMLElement, isOf: (zone: string, ground: object, lines: object[]) => boolean,
 *   show: (fits: object[], choice: object|null) => void}}
 */
export function zoneChoices(zone, ground, lines) {
  let of = null; // count of the zones that the name is of

  /** Asks for a part of the choice, made when its turn comes, with a note that waited for a choice to be kept with. */
  const choose = (part) => {
    const geometryRevision = of;
    return change((scene) => {
      const now = chosen(scene, zone);
      const waiting = note.input.value === now.note ? {} : { note: note.input.value };
      return { choice: { zone, geometry_revision: geometryRevision, ...waiting, ...part(now) } };
    });
  };
  const own = (input, key, told) => entry(input, { ...told, send: (value) => choose(() => ({ [key]: value })) });

  const left = h('option', { value: '' }, 'left to the plan');
  const options = lines.map(({ stock_id: id }) => h('option', { value: id }));
  const line = own(h('select', { dataset: { keep: 'line' } }, left, ...options), 'line');
  const density = own(h('input', { type: 'number', min: 1, max: 100000, step: 'any', dataset: { keep: 'density' } }), 'density_sph', { read: numberOf, empty: 'as the density rules say' });
  const note = own(h('input', { type: 'text', maxlength: 400, dataset: { keep: 'note' } }), 'note', { read: noteOf });
  const forbid = lines.map(({ stock_id: id, letter, name }) => {
    const box = h('input', { type: 'checkbox', id: `forbid-${id}`, dataset: { keep: `forbid-${id}` } });
    const words = `${letter} ${name}`;
    // The list is made when its turn comes, so that a tick before this one stays.
    const send = (is) => choose(({ forbid: others }) => ({ forbid: [...others.filter((one) => one !== id), ...(is ? [id] : [])] }));
    const one = entry(box, { send });
    return { id, one, row: h('div', {}, h('span', { class: 'tick' }, box, h('label', { for: box.id }, words)), one.fault) };
  });
  function noteOf(input) {
    const isChosen = line.input.value || density.input.value || forbid.some((each) => each.one.input.checked);
    if (!isChosen && input.value.trim()) throw new Unfit('A note is kept with a choice: it waits here for one.');
    return textOf(input);
  }

  const reset = button('Leave all to the plan', () => {
    for (const one of [line, density, note, ...forbid.map((each) => each.one)]) one.putBack();
    choose(() => ({ line: null, forbid: [], density_sph: null, note: null }));
  }, { dataset: { keep: 'reset' } });

  const section = h('section', {}, h('h3', {}, 'Choices by hand'),
    field('Fix the line', line.input), line.fault,
    h('fieldset', { class: 'forbid' }, h('legend', {}, 'Never here'), ...forbid.map((each) => each.row)),
    field('Plants to a hectare', density.input, 'Empty: as the density rules say.'), density.fault,
    field('Note', note.input, 'Kept with the choice.'), note.fault,
    reset);
  return {
    section,
    isOf: (other, otherGround, otherLines) => zone === other && names(lines) === names(otherLines) && JSON.stringify(ground) === JSON.stringify(otherGround),
    show(fits, choice) {
      of = state.scene.geometry_revision;
      for (const [at, { stock_id: id, letter, name }] of lines.entries()) {
        const fit = fits.find((one) => one.stock_id === id);
        options[at].textContent = `${letter} ${name}${fit ? ` (fit ${number(fit.fit, 2)})` : ''}`;
      }
      line.show(choice?.line);
      density.show(choice?.density_sph);
      note.show(choice?.note);
      for (const { id, one } of forbid) one.show(choice?.forbid.includes(id));
      able(reset, Boolean(choice));
    },
  };
}

/** Lines by name, to see whether they are the same. */
function names(lines) {
  return lines.map((one) => one.stock_id).join();
}

/** What is chosen for a zone now, of that which is sent whole. */
function chosen({ choices }, zone) {
  const { forbid = [], note } = choices.find((one) => one.zone_id === zone) ?? {};
  return { forbid, note: note ?? '' };
}
