// Rooms in the order in which they are seen, so that the Tab key and a screen reader go the way that the eye goes.

/** Orders by width of the window; the widths are those of rooms.css. */
const ORDERS = [
  { when: matchMedia('(max-width: 820px)'), order: ['stage', 'card', 'done', 'bench', 'drawer'] },
  { when: matchMedia('(max-width: 1180px)'), order: ['bench', 'card', 'stage', 'done', 'drawer'] },
];
const WIDE = ['bench', 'stage', 'card', 'done', 'drawer'];

/** Whether one room stands below the other. */
export function isNarrow() {
  return ORDERS[0].when.matches;
}

/** Puts the rooms in order, now and when the window changes. @param {HTMLElement} rooms */
export function startRooms(rooms) {
  const order = () => {
    const { activeElement: held } = document;
    const names = ORDERS.find((one) => one.when.matches)?.order ?? WIDE;
    rooms.append(...names.map((name) => document.getElementById(name)));
    held?.focus({ preventScroll: true });
  };
  for (const { when } of ORDERS) when.addEventListener('change', order);
  order();
}
