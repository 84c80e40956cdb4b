// Where the focus goes when what held it goes away: never to nowhere.

const PASSING = '#notice, #done, #card, .skips'; // rooms that are looked into and left again

let before = null;

document.addEventListener('focusin', ({ target }) => {
  if (!target.closest(PASSING)) before = target;
});

/** Puts the focus back to where it was before a passing room was entered, or else to the view that is shown. */
export function leave() {
  if (canHold(before)) before.focus({ preventScroll: true });
  else document.querySelector('.view:not([hidden]) .map, .view:not([hidden])')?.focus({ preventScroll: true });
}

/** Does `work`, which may take away what holds the focus within `box`; then the focus goes to what `next` finds. */
export function keeping(box, work, next) {
  const held = box.contains(document.activeElement) ? document.activeElement : null;
  work(held);
  if (held && !canHold(held)) next(held)?.focus({ preventScroll: true });
}

function canHold(element) {
  return Boolean(element?.isConnected && element.getClientRects().length > 0);
}
