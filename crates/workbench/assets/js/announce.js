// Results told to those who do not see them.

const PAUSE = 100; // milliseconds in which what is told is told together, so that nothing is drowned by what follows

let waiting = [];

/** Tells `words` in the live region; the same words twice are told twice. @param {string} words */
export function announce(words) {
  if (!waiting.includes(words)) waiting.push(words);
  if (waiting.length > 1) return;
  setTimeout(() => {
    const region = document.getElementById('told');
    const all = waiting.join(' ');
    waiting = [];
    region.textContent = region.textContent === all ? `${all}\u00a0` : all;
  }, PAUSE);
}
