// The word of this sitting: it comes once in the address, stands in every request that changes something, and is kept by
// the browser for this address alone.

const KEPT = 'hillweave-word';

const [, told] = /^#word=([0-9a-f]+)$/i.exec(location.hash) ?? [];
if (told) {
  localStorage.setItem(KEPT, told);
  history.replaceState(null, '', location.pathname + location.search);
}

/** The word, empty where none was told. @returns {string} */
export function word() {
  return localStorage.getItem(KEPT) ?? '';
}
