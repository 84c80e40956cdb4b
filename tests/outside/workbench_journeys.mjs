// What people do on the page of the workbench, in its order. Each journey begins on a fresh page and leaves the plan as it
// was: a function that walks, the size of its window, its light, its clock.
import { CHANGING } from './workbench_changing.mjs';
import { DRAWING } from './workbench_drawing.mjs';
import { KEEPING } from './workbench_keeping.mjs';
import { LOOKING } from './workbench_looking.mjs';
import { REACH } from './workbench_reach.mjs';
import { VIEWS } from './workbench_views.mjs';

export const JOURNEYS = [...LOOKING, ...CHANGING, ...DRAWING, ...VIEWS, ...REACH, ...KEEPING];
