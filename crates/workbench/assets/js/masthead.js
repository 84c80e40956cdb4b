// Back and forth, saving, and the keys for them.
import { able, whenAble } from './dom.js';
import { commit } from './entry.js';
import { redo, save, undo } from './plan.js';
import { on, state } from './store.js';

/** Makes the buttons of the masthead work. */
export function startMasthead() {
  const [back, forth, keep, words] = ['undo', 'redo', 'save', 'kept'].map((id) => document.getElementById(id));
  whenAble(back, undo);
  whenAble(forth, redo);
  whenAble(keep, save);
  on('scene', (scene) => {
    able(back, scene.can_undo);
    able(forth, scene.can_redo);
    able(keep, scene.unsaved.length > 0);
    name(back, 'Undo', scene.undo_words, 'Ctrl Z');
    name(forth, 'Redo', scene.redo_words, 'Ctrl Y');
    name(keep, 'Save', scene.unsaved.join(', '), 'Ctrl S');
    words.textContent = kept(scene.unsaved, state.saved);
    words.classList.toggle('unsaved', scene.unsaved.length > 0);
  });
  on('busy', (busy) => { document.body.setAttribute('aria-busy', String(busy > 0)); });
  document.addEventListener('keydown', keyed);
  addEventListener('beforeunload', (event) => { if (state.scene?.unsaved.length) event.preventDefault(); });
}

/** Whether the files hold what the page shows. */
function kept(unsaved, saved) {
  if (unsaved.length) return `Not saved: ${unsaved.join(', ')}`;
  if (!saved) return '';
  const time = saved.at.toLocaleTimeString('en-NZ', { hour: '2-digit', minute: '2-digit', hourCycle: 'h23' });
  return saved.files.length ? `Saved at ${time}: ${saved.files.join(', ')}` : 'Nothing to save';
}

function name(button, verb, words, keys) {
  button.title = words ? `${verb}: ${words} (${keys})` : `${verb} (${keys})`;
  if (words) button.setAttribute('aria-label', `${verb}: ${words}`);
  else button.removeAttribute('aria-label');
}

function keyed(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey) return;
  const key = event.key.toLowerCase();
  if (key === 's') {
    commit(); // what is being typed is saved too
    save();
  } else if (editing(event.target)) return; // a field has its own way back
  else if (key === 'z' && !event.shiftKey) undo();
  else if (key === 'y' || (key === 'z' && event.shiftKey)) redo();
  else return;
  event.preventDefault();
}

function editing(element) {
  return element instanceof HTMLInputElement && !['checkbox', 'radio', 'range', 'button'].includes(element.type)
    || element instanceof HTMLTextAreaElement;
}
