// The page of the workbench in a real browser: what people do there, by pointer and by keyboard alone.
//
//     node workbench.mjs MODULES URL SHOTS
//     node workbench.mjs --must-fail MODULES URL SHOTS
//
// MODULES: where npm put axe-core and playwright-core. URL: a running workbench over a copy of a site, with the whole
// address that the program told. SHOTS: folder for pictures of each state. A finding is: a step that does not do what it
// says, a violation that axe finds of WCAG 2.2 A and AA or its best practices, a request for another origin, an error on
// the console. Prints one line of JSON; exits 0 when there is no finding, 1 otherwise. --must-fail breaks the page on
// purpose, at least once in every journey, and exits 0 only when each fault draws the finding that it names.
import { createRequire } from 'node:module';
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';
import { FAULTS } from './workbench_faults.mjs';
import { JOURNEYS } from './workbench_journeys.mjs';
import { Walk } from './workbench_walk.mjs';

const [, , ...given] = process.argv;
const proving = given[0] === '--must-fail';
const [modules, url, shots] = proving ? given.slice(1) : given;
const require = createRequire(join(resolve(modules), 'node_modules', 'here.js'));
const { chromium } = require('playwright-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const executablePath = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync);
if (!executablePath) throw new Error('no Chromium');
mkdirSync(shots, { recursive: true });

const FLAGS = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];
const DRAWS = ['--use-angle=swiftshader', '--enable-unsafe-swiftshader', '--ignore-gpu-blocklist'];
const browsers = new Map();

async function browser(draws) {
  if (!browsers.has(draws)) browsers.set(draws, await chromium.launch({ executablePath, args: draws ? [...FLAGS, ...DRAWS] : FLAGS }));
  return browsers.get(draws);
}

/** Goes in by the address that works once: what the program gives for it serves every journey. */
async function enter() {
  const context = await (await browser(false)).newContext();
  const page = await context.newPage();
  await page.goto(url);
  const told = { storageState: await context.storageState(), home: `${new URL(page.url()).origin}/` }; // cookie and word
  await context.close();
  return told;
}

const { storageState, home } = await enter();
const kept = storageState.origins.flatMap((one) => one.localStorage).find((one) => one.name === 'hillweave-word');
const headers = { 'content-type': 'application/json', ...(kept ? { 'x-hillweave-word': kept.value } : {}) };

/** Takes back all that a walk over a page with a fault has left, in the files too. */
async function restore(context) {
  const post = async (path) => (await context.request.post(`${home}api/${path}`, { headers, data: '{}' })).json();
  let scene = await (await context.request.get(`${home}api/scene?known=1`)).json();
  while (scene.can_undo) scene = await post('undo');
  if (scene.unsaved.length) await post('save');
}

/** One journey on a page of its own; with a fault put in, to the finding that it must draw and no further. */
async function walk(journey, spoil, expected) {
  const told = new Walk({ name: journey.name, axe, url: home, shots: proving ? null : shots });
  const { draws = false, viewport = { width: 1280, height: 800 }, colorScheme = 'light', timezoneId, now } = journey;
  const context = await (await browser(draws)).newContext({ storageState, viewport, colorScheme, timezoneId, reducedMotion: 'reduce' });
  try {
    if (now) await context.clock.setFixedTime(now);
    const caught = new Promise((done) => { if (expected) Object.assign(told, { expected, caught: done }); });
    const walking = told.open(context, spoil).then(() => journey.walk(told));
    walking.catch(() => {}); // a walk that is left goes nowhere
    await Promise.race([walking, caught]);
  } catch (fault) {
    told.found('a step that could not be done', String(fault.message).split('\n')[0]);
  }
  await told.close();
  if (spoil || told.findings.length) await restore(context);
  await context.close();
  return told;
}

/** ONLY=journey,journey walks these alone. */
function wanted({ name, journey = name }) {
  return !process.env.ONLY || process.env.ONLY.split(',').includes(journey);
}

let ok = true;
if (proving) {
  const missed = JOURNEYS.filter(({ name }) => !FAULTS.some((one) => one.journey === name)).map(({ name }) => ({ fault: `none for ${name}` }));
  for (const fault of FAULTS.filter(wanted)) {
    const journey = JOURNEYS.find((one) => one.name === fault.journey);
    const { findings } = await walk(journey, fault.spoil, fault.check);
    if (!findings.some((one) => one.check.startsWith(fault.check))) missed.push({ fault: fault.name, findings });
  }
  ok = missed.length === 0;
  console.log(JSON.stringify({ faults: FAULTS.length, missed }));
} else {
  const walks = [];
  for (const journey of JOURNEYS.filter(wanted)) walks.push(await walk(journey));
  const findings = walks.flatMap((one) => one.findings);
  const sum = (what) => walks.reduce((total, one) => total + one[what], 0);
  ok = findings.length === 0 && walks.every((one) => one.steps > 0);
  console.log(JSON.stringify({ findings, passed: sum('steps'), axe_passed: sum('axeRules'), measured: Object.assign({}, ...walks.map((one) => one.measured)) }));
}
for (const one of browsers.values()) await one.close();
process.exit(ok ? 0 : 1);
