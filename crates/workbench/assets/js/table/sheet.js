// One table: sorted, filtered, a page of rows at a time, one row chosen.
import { able, button, h, put } from '../dom.js';
import { keeping } from '../focus.js';
import { cell, number, plainUnit } from '../words.js';

const PAGE = 100; // rows drawn at once

/**
 * A table of `kind`.
 *
 * @param {{kind: string, caption: string, brief: string[], pick: (row: any[]) => void, empty?: string}} told
 *   `brief`: columns shown unless all are asked for; `pick`: hears the row that is chosen; `empty`: told while there is
 *   no table
 */
export function sheet({ kind, caption, brief, pick, empty }) {
  const shown = { table: null, sort: null, down: false, filter: '', page: 0, all: false, chosen: null, order: [] };
  const head = h('tr');
  const body = h('tbody');
  const scroller = h('div', { class: 'sheet-of', tabindex: 0, role: 'region', 'aria-label': caption },
    h('table', {}, h('caption', { class: 'told' }, caption), h('thead', {}, head), body));
  const words = h('span', { class: 'quiet' });
  const back = button('‹', () => turn(-1), { 'aria-label': 'Rows before', title: 'Rows before' });
  const onward = button('›', () => turn(1), { 'aria-label': 'Rows after', title: 'Rows after' });
  const pager = h('span', { class: 'row' }, words, back, onward);

  function columns() {
    return shown.table.columns.map((column, at) => ({ ...column, at })).filter((one) => shown.all || brief.includes(one.name));
  }

  function reorder() {
    const { table, sort, down } = shown;
    const wanted = shown.filter.trim().toLowerCase();
    const of = (row) => row.some((value) => value !== null && String(value).toLowerCase().includes(wanted));
    shown.order = table.rows.map((_, at) => at).filter((at) => !wanted || of(table.rows[at]));
    if (sort !== null) shown.order.sort((a, b) => (down ? -1 : 1) * compare(table.rows[a][sort], table.rows[b][sort]) || a - b);
    shown.page = Math.min(shown.page, Math.max(0, Math.ceil(shown.order.length / PAGE) - 1));
  }

  /** Draws head and rows; the focus stays with its column or its row, or else with the table. */
  function draw() {
    keeping(scroller, fillTable, ({ dataset: { column, row } }) => {
      if (column) return head.querySelector(`[data-column="${CSS.escape(column)}"]`);
      return (row && body.querySelector(`[data-row="${CSS.escape(row)}"]`)) || body.querySelector('tr.chosen button') || scroller;
    });
  }

  function fillTable() {
    if (!shown.table) {
      put(head);
      put(body, empty ? h('tr', {}, h('td', {}, empty)) : null);
      words.textContent = '';
      back.hidden = onward.hidden = true;
      return;
    }
    const told = columns();
    put(head, ...told.map(header));
    const from = shown.page * PAGE;
    const page = shown.order.slice(from, from + PAGE);
    put(body, ...page.map((at) => drawRow(at, told)));
    const stop = body.querySelector('tr.chosen button') ?? body.querySelector('button');
    if (stop) stop.tabIndex = 0;
    const all = shown.table.rows.length;
    words.textContent = shown.order.length === 0 ? `0 of ${number(all)} rows`
      : `${number(from + 1)} to ${number(from + page.length)} of ${number(shown.order.length)}${shown.order.length < all ? ` (all: ${number(all)})` : ''}`;
    able(back, shown.page > 0);
    able(onward, from + PAGE < shown.order.length);
    back.hidden = onward.hidden = shown.order.length <= PAGE;
  }

  function header(column) {
    const sorted = shown.sort === column.at;
    const way = sorted ? (shown.down ? 'descending' : 'ascending') : 'none';
    const mark = sorted ? (shown.down ? ' ▼' : ' ▲') : '';
    return h('th', { scope: 'col', 'aria-sort': way, class: column.kind === 'text' ? null : 'figure' },
      h('button', { type: 'button', title: column.meaning, dataset: { column: column.name }, onclick: () => sortBy(column) },
        column.title, h('span', { 'aria-hidden': 'true' }, mark), plainUnit(column.unit) ? h('span', { class: 'unit' }, plainUnit(column.unit)) : null));
  }

  function drawRow(at, told) {
    const row = shown.table.rows[at];
    const is = row[0] === shown.chosen;
    const cells = told.map((column, place) => {
      const text = cell(row[column.at], column);
      if (place > 0) return h('td', { class: column.kind === 'text' ? null : 'figure', title: text.length > 30 ? text : null }, text);
      return h('th', { scope: 'row' }, h('button', { type: 'button', tabindex: -1, 'aria-pressed': String(is), dataset: { row: String(row[0]) }, onclick: () => pick(row) }, text));
    });
    return h('tr', { class: is ? 'chosen' : null }, ...cells);
  }

  function sortBy(column) {
    shown.down = shown.sort === column.at && !shown.down;
    shown.sort = column.at;
    reorder();
    draw();
  }

  function turn(by) {
    shown.page += by;
    draw();
    scroller.scrollTop = 0;
  }

  /** Scrolls the table alone: the page stays where it is. */
  function intoSight(row) {
    if (!row) return;
    const [above, below] = [row.offsetTop - head.offsetHeight, row.offsetTop + row.offsetHeight - scroller.clientHeight];
    scroller.scrollTop = Math.max(Math.min(scroller.scrollTop, above), below);
  }

  body.addEventListener('keydown', (event) => {
    const all = [...body.querySelectorAll('button')];
    const at = all.indexOf(document.activeElement);
    const to = { ArrowDown: at + 1, ArrowUp: at - 1, Home: 0, End: all.length - 1 }[event.key];
    if (at < 0 || to === undefined || !all[to]) return;
    event.preventDefault();
    all[at].tabIndex = -1;
    all[to].tabIndex = 0;
    all[to].focus();
  });

  return {
    kind,
    scroller,
    pager,
    /** Shows the rows of `table`. */
    fill(table) { shown.table = table; if (table) reorder(); draw(); },
    /** Shows rows that hold `text` alone. @returns {number} how many */
    filter(text) { shown.filter = text; shown.page = 0; if (shown.table) reorder(); draw(); return shown.table ? shown.order.length : 0; },
    /** Shows every column, or the usual ones. */
    showAll(all) { shown.all = all; draw(); },
    /** Marks the row named `id`, and brings it into sight. */
    mark(id) {
      if (shown.chosen === id || !shown.table) return;
      shown.chosen = id;
      const at = shown.order.findIndex((one) => shown.table.rows[one][0] === id);
      if (at >= 0) shown.page = Math.floor(at / PAGE);
      draw();
      intoSight(body.querySelector('tr.chosen'));
    },
  };
}

function compare(a, b) {
  if (a === null || b === null) return a === b ? 0 : a === null ? 1 : -1;
  return typeof a === 'number' && typeof b === 'number' ? a - b : String(a).localeCompare(String(b), 'en', { numeric: true });
}
