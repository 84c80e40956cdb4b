// Results told to those who do not see them.

/** Tells `words` in the live region; the same words twice are told twice. @param {string} words */
export function announce(words) {
  const region = document.getElementById('told');
  region.textContent = region.textContent === words ? `${words}\u00a0` : words;
}
