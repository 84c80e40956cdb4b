// Back and forth, saving, and the keys for them.
import { redo, save, undo } from './plan.js';
import { on, state } from './store.js';

/** Makes the buttons of the masthead work. */
export function startMasthead() {
  const [back, forth, keep, words] = ['undo', 'redo', 'save', 'unsaved'].map((id) => document.getElementById(id));
  back.addEventListener('click', undo);
  forth.addEventListener('click', redo);
  keep.addEventListener('click', save);
  on('scene', (scene) => {
    back.disabled = !scene.can_undo;
    forth.disabled = !scene.can_redo;
    keep.disabled = scene.unsaved.length === 0;
    name(back, 'Undo', scene.undo_words, 'Ctrl Z');
    name(forth, 'Redo', scene.redo_words, 'Ctrl Y');
    name(keep, 'Save', scene.unsaved.join(', '), 'Ctrl S');
    words.textContent = scene.unsaved.length ? `· Not saved: ${scene.unsaved.join(', ')}` : '';
  });
  on('busy', (busy) => { document.body.setAttribute('aria-busy', String(busy > 0)); });
  document.addEventListener('keydown', keyed);
  addEventListener('beforeunload', (event) => { if (state.scene?.unsaved.length) event.preventDefault(); });
}

function name(button, verb, words, keys) {
  button.title = words ? `${verb}: ${words} (${keys})` : `${verb} (${keys})`;
  if (words) button.setAttribute('aria-label', `${verb}: ${words}`);
  else button.removeAttribute('aria-label');
}

function keyed(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  if (key === 's') save();
  else if (editing(event.target)) return; // a field has its own way back
  else if (key === 'z' && !event.shiftKey) undo();
  else if (key === 'y' || (key === 'z' && event.shiftKey)) redo();
  else return;
  event.preventDefault();
}

function editing(element) {
  return element instanceof HTMLInputElement && !['checkbox', 'radio', 'range', 'button'].includes(element.type)
    || element instanceof HTMLTextAreaElement;
}
