// What check says of the answers, the site file that they make, and the plan.
import { announce } from '../announce.js';
import { button, h, put } from '../dom.js';
import { problemList } from '../problems.js';
import { measured, percent } from '../words.js';
import { answers, layerFor } from './answers.js';

/** @param {HTMLElement} section @param {() => void} plan */
export function startLook(section, plan) {
  const body = h('div');
  const state = h('p', { id: 'look-state' });
  const go = button('Plan this property', plan, { class: 'strong', disabled: true, 'aria-describedby': 'look-state' });
  section.append(body, h('div', { class: 'go' }, go, state));
  let verdict = '';

  function say(words) {
    state.textContent = words;
    if (words !== verdict) announce(words);
    verdict = words;
  }

  return {
    busy(words = 'Looking …') {
      go.disabled = true;
      state.textContent = words;
    },
    stopped() { state.textContent = 'Stopped: see above.'; },
    show({ problems, facts, text, grid, crs, plan_ha: area }) {
      const errors = problems.filter((one) => one.severity === 'error').length;
      const isBare = answers.folder.files.length === 0;
      const unsaid = problems.filter((one) => one.severity === 'error' && !one.file);
      const ready = errors === 0 && grid !== null;
      const rest = problems.length - errors;
      put(body,
        ready ? h('p', {}, `${measured(area, 'ha')} of map; ${grid}; ${crs}.`) : null,
        ready && !layerFor('stock') ? h('p', { class: 'problem' }, h('strong', {}, 'No stock yet: '), 'lines that are invented come with the plan, in stock.toml. Put in what you can get before you rely on it.') : null,
        unsaid.length && !isBare ? h('ul', { class: 'settle' }, ...unsaid.map(({ item, found, remedy }) => h('li', {}, h('b', {}, item), `: ${found}. ${sentence(remedy)}`))) : null,
        problemList(problems.filter((one) => !unsaid.includes(one))),
        facts.length ? h('details', {}, h('summary', {}, 'What is used of each layer'), h('ul', { class: 'facts' }, ...facts.map(fact))) : null,
        text ? h('details', {}, h('summary', {}, 'The site file, as it will be written'), h('pre', { class: 'text', tabindex: 0 }, text)) : null);
      go.disabled = !ready;
      if (isBare) say('Waiting for files.');
      else if (ready) say(rest ? `Ready to plan, with ${rest} to look at.` : 'Ready to plan.');
      else say(`${errors} ${errors === 1 ? 'thing' : 'things'} to settle first.`);
    },
  };
}

function sentence(words) {
  return words ? `${words[0].toUpperCase()}${words.slice(1)}.` : '';
}

function fact({ role, file, layer, used, covered_share: covered, range, categories = [] }) {
  const parts = [used];
  if (covered !== undefined && covered !== null) parts.push(`on ${percent(covered)} of the property`);
  if (range) parts.push(`${measured(range[0], 'm')} to ${measured(range[1], 'm')}`.replaceAll(' m', role === 'elevation' ? ' m' : ''));
  if (categories.length) parts.push(categories.map((one) => `${one.class} ${percent(one.share)}`).join(', '));
  return h('li', {}, h('b', {}, role.replaceAll('_', ' ')), ` ${file}${layer ? ` · ${layer}` : ''}: ${parts.join('; ')}`);
}
