// Tabs: one stop for the Tab key, arrows between them (ARIA Authoring Practices, tabs).
import { h, put } from './dom.js';

/**
 * Fills `list` and `panels` with a tab and a panel for each of `told`.
 *
 * @param {HTMLElement} list
 * @param {HTMLElement} panels
 * @param {{key: string, title: string, panel: HTMLElement}[]} told
 * @param {(key: string) => void} [shown] hears which tab is shown
 * @returns {(key: string) => void} shows a tab
 */
export function tabs(list, panels, told, shown = () => {}) {
  const buttons = told.map(({ key, title, panel }) => {
    panel.id = `panel-${key}`;
    panel.setAttribute('role', 'tabpanel');
    panel.setAttribute('aria-labelledby', `tab-${key}`);
    panel.tabIndex = 0;
    return h('button', {
      type: 'button', role: 'tab', id: `tab-${key}`, 'aria-controls': panel.id, dataset: { key }, onclick: () => show(key),
    }, title);
  });
  put(list, ...buttons);
  put(panels, ...told.map((one) => one.panel));
  list.addEventListener('keydown', (event) => {
    const at = buttons.indexOf(document.activeElement);
    const to = { ArrowRight: at + 1, ArrowLeft: at - 1, Home: 0, End: buttons.length - 1 }[event.key];
    if (at < 0 || to === undefined) return;
    event.preventDefault();
    const next = buttons[(to + buttons.length) % buttons.length];
    show(next.dataset.key);
    next.focus();
  });
  const show = (key) => {
    for (const [at, one] of told.entries()) {
      const is = one.key === key;
      buttons[at].setAttribute('aria-selected', String(is));
      buttons[at].tabIndex = is ? 0 : -1;
      one.panel.hidden = !is;
    }
    shown(key);
  };
  show(told[0].key);
  return show;
}
