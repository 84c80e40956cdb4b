// Light, dark, or as the machine has it. The browser keeps the choice for this address: another port begins afresh.

const KEPT = 'hillweave-theme';

/** Puts the kept choice in place and hears `select`. @param {HTMLSelectElement} select */
export function startTheme(select) {
  const kept = localStorage.getItem(KEPT) ?? 'machine';
  select.value = kept;
  show(kept);
  select.addEventListener('change', () => {
    localStorage.setItem(KEPT, select.value);
    show(select.value);
  });
}

function show(theme) {
  if (theme === 'machine') delete document.documentElement.dataset.theme;
  else document.documentElement.dataset.theme = theme;
}
