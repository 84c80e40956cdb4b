// From the files of a folder to a first plan: reads what is there, hears what is said of it, and has it planned.
import { read, Refusal, send } from '../api.js';
import { announce } from '../announce.js';
import { put } from '../dom.js';
import { problemList } from '../problems.js';
import { startTheme } from '../theme.js';
import { answers, answersOf, begin, takeCodes } from './answers.js';
import { startCodes } from './codes.js';
import { startFiles } from './files.js';
import { startGround } from './ground.js';
import { startLayers } from './layers.js';
import { startLook } from './look.js';
import { startSketch } from './sketch.js';

const room = (id) => document.getElementById(id);
const notice = room('notice');

const rooms = {};
let asked = 0;
let waits = 0;

/** Reads the folder anew; what has been said of its files stays. */
async function readFolder() {
  const told = await read('/api/begin');
  begin(told);
  room('folder').textContent = told.folder;
  rooms.files.show(told);
  rooms.layers.show();
  rooms.ground.show();
  await lookNow();
}

/** Looks at the answers once they have stood still for a moment. */
function look() {
  clearTimeout(waits);
  waits = setTimeout(() => guarded(lookNow), 250);
}

async function lookNow() {
  clearTimeout(waits);
  asked += 1;
  const mine = asked;
  rooms.look.busy();
  const told = await send('/api/begin/look', answersOf());
  if (mine !== asked) return; // a later look is on its way
  const isNew = takeCodes(told);
  rooms.codes.show(told.look);
  rooms.sketch.show(told.look);
  rooms.look.show(told.look);
  if (isNew) look(); // codes came to light, and with them what they may stand for
}

async function plan() {
  rooms.look.busy('Planning …');
  announce('Planning.');
  await send('/api/begin/plan', answersOf());
  location.reload();
}

async function guarded(work) {
  try {
    put(notice);
    await work();
  } catch (fault) {
    if (!(fault instanceof Refusal)) throw fault;
    put(notice, problemList(fault.problems));
    rooms.look?.stopped();
    announce(`Stopped. ${fault.message}`);
    notice.scrollIntoView({ block: 'nearest' });
  }
}

startTheme(room('theme'));
rooms.files = startFiles(room('files'), () => guarded(readFolder));
rooms.layers = startLayers(room('layers'), { look, again: () => guarded(readFolder) });
rooms.codes = startCodes(room('codes'), look);
rooms.ground = startGround(room('ground'), look);
rooms.sketch = startSketch(room('sketch'));
rooms.look = startLook(room('look'), () => guarded(plan));
guarded(readFolder).then(() => {
  if (answers.folder) performance.mark('folder-shown');
});
