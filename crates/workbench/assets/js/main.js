// Opens the page: what the site is, the plan as it is now, and every room.
import { Refusal } from './api.js';
import { startCautions } from './cautions.js';
import { startDone } from './done.js';
import { startMasthead } from './masthead.js';
import { startNotice } from './notice.js';
import { startBench } from './bench.js';
import { problemList } from './problems.js';
import { askForScene, readScene } from './plan.js';
import { followGround, readProperty } from './property.js';
import { startRooms } from './rooms.js';
import { state } from './store.js';
import { startDrawer } from './table/drawer.js';
import { startTheme } from './theme.js';
import { startViews } from './views.js';
import { startCard } from './zone_card.js';

const room = (id) => document.getElementById(id);

async function open() {
  startTheme(room('theme'));
  const scene = askForScene(); // comes while the rooms are made
  await readProperty();
  const { property } = state;
  document.title = `${property.name} · hillweave`;
  room('property-name').textContent = property.name;
  room('property-words').textContent = `${property.crs_name || property.crs} · ${property.folder}`;
  startRooms(room('rooms'));
  startMasthead();
  startNotice(room('notice'));
  const map = startViews(room('views-of'), room('views'));
  startBench(room('bench-tabs'), room('bench-panels'), map);
  startDone(room('done'));
  startDrawer(room('drawer'));
  startCautions(room('cautions'), room('cautions-open'), map);
  startCard(room('card'));
  followGround();
  await readScene(scene);
  performance.mark('plan-shown');
}

open().catch((fault) => {
  const problems = fault instanceof Refusal ? fault.problems
    : [{ severity: 'error', item: 'page', found: String(fault), expected: 'a page that opens', remedy: 'load it again; if it comes back, report it' }];
  room('notice').replaceChildren(problemList(problems));
  if (!(fault instanceof Refusal)) throw fault;
});
