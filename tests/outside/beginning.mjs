// From files to a first mosaic in a real browser, as someone does who has never seen the page.
//
//     node beginning.mjs MODULES URL FILES SHOTS
//     node beginning.mjs --must-fail MODULES URL FILES SHOTS
//
// MODULES: where npm put axe-core and playwright-core. URL: a bench over an empty folder, with the whole address that the
// program told. FILES: the folder of the sample property. SHOTS: folder for pictures of each state. A finding is: a step
// that does not do what it says, a violation that axe finds of WCAG 2.2 A and AA or its best practices, a request for
// another origin, an error on the console. Prints one line of JSON; exits 0 when there is no finding. --must-fail breaks
// the page on purpose, once for each kind of finding, and exits 0 only when each fault draws its finding.
import { createRequire } from 'node:module';
import { existsSync, mkdirSync, readFileSync } from 'node:fs';
import { join, resolve } from 'node:path';

const [, , ...given] = process.argv;
const proving = given[0] === '--must-fail';
const [modules, url, files, shots] = proving ? given.slice(1) : given;
const require = createRequire(join(resolve(modules), 'node_modules', 'here.js'));
const { chromium } = require('playwright-core');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
const executablePath = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync);
if (!executablePath) throw new Error('no Chromium');
mkdirSync(shots, { recursive: true });

/** What only a person knows of the sample's cover: code, name, what is done with it, gaps in percent. */
const COVER = [
  ['1', 'pasture', 'plant'], ['2', 'gorse', 'plant'], ['3', 'scattered scrub', 'infill', '60'], ['4', 'mānuka stand', 'keep'],
  ['5', 'bush', 'keep'], ['6', 'slip scar', 'plant'], ['7', 'wet flush', 'plant'], ['8', 'water', 'never'],
];
const LAYERS = ['property.gpkg', 'elevation_m.tif', 'cover.tif'];
const ROLES = { boundary: 'boundary', boundary_line: 'keep_clear', streams: 'streams', tracks: 'tracks', power_line: 'keep_clear', archaeology: 'keep_clear', soil: 'drainage' };

const browser = await chromium.launch({ executablePath, args: ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run', '--disable-background-networking', '--disable-component-update', '--disable-sync'] });

/** Goes in by the address that works once. */
async function enter() {
  const context = await browser.newContext();
  const page = await context.newPage();
  await page.goto(url);
  await page.waitForTimeout(300);
  const told = { storageState: await context.storageState(), home: `${new URL(page.url()).origin}/` };
  await context.close();
  return told;
}

class Walk {
  constructor() {
    Object.assign(this, { findings: [], steps: 0, axe: 0, measured: {} });
  }

  must(holds, check, words = '') {
    if (holds) this.steps += 1;
    else this.findings.push({ check, found: String(words) });
  }

  async state(name) {
    await this.page.evaluate(axe);
    const { violations, passes } = await this.page.evaluate((tags) => globalThis.axe.run(document, { runOnly: { type: 'tag', values: tags } }), TAGS);
    this.must(passes.length > 10, 'axe looked at the page', passes.length);
    this.axe += passes.length;
    for (const one of violations) this.findings.push({ check: `axe ${one.id}`, found: `${name}: ${one.nodes[0].html.slice(0, 200)} ${one.nodes[0].failureSummary?.split('\n').slice(1, 3).join(' ')}` });
    if (!proving) await this.page.screenshot({ path: join(shots, `beginning-${name.replaceAll(' ', '_')}.png`), fullPage: true });
    await this.page.evaluate(() => scrollTo(0, 0));
  }

  /** Does `act`, and waits for what the program says of the answers after it. */
  async looks(act) {
    const answered = this.page.waitForResponse((answer) => answer.url().endsWith('/api/begin/look') && answer.ok());
    await act();
    await answered;
    // Another look may follow where codes came to light.
    await this.page.waitForTimeout(700);
    await this.page.waitForFunction(() => document.querySelector('#look-state').textContent !== 'Looking …');
    return this.page.locator('#look-state').innerText();
  }
}

async function walk({ storageState, home }, spoil) {
  const told = new Walk();
  const context = await browser.newContext({ storageState, viewport: { width: 1280, height: 800 }, reducedMotion: 'reduce' });
  try {
    await context.route('**/*', (route) => {
      const asked = route.request().url();
      if (asked.startsWith(home) || asked.startsWith('data:') || asked.startsWith('blob:')) return route.fallback();
      told.findings.push({ check: 'request elsewhere', found: asked });
      return route.abort();
    });
    if (spoil) await spoil(context, home);
    const page = await context.newPage();
    told.page = page;
    page.setDefaultTimeout(spoil ? 8_000 : 60_000);
    page.on('pageerror', (error) => told.findings.push({ check: 'error of a script', found: String(error) }));
    page.on('console', (message) => { if (message.type() === 'error') told.findings.push({ check: 'error on the console', found: `${message.text()} ${message.location().url}` }); });
    const from = Date.now();
    await page.goto(home);
    await page.locator('#look-state', { hasText: /files|settle|Ready/ }).waitFor();
    told.must((await page.title()).startsWith('A new property'), 'the title says what is begun', await page.title());
    if (!spoil) {
      told.must(await page.locator('#look-state').innerText() === 'Waiting for files.', 'it waits for files', await page.locator('#look-state').innerText());
      await told.state('empty');
    }
    await journey(told, page, from, Boolean(spoil));
  } catch (fault) {
    told.findings.push({ check: 'a step that could not be done', found: String(fault.message).split('\n')[0] });
  }
  await context.close();
  return told;
}

async function journey(told, page, from, isSpoilt) {
  // Files chosen by the field that the keyboard reaches.
  let state = await told.looks(() => page.setInputFiles('#pick', LAYERS.map((name) => join(files, name))));
  const held = await page.locator('.held li b').allInnerTexts();
  for (const name of LAYERS) told.must(held.includes(name), 'a file that was chosen is listed', `${name}: ${held}`);
  told.must(/to settle first/.test(state), 'what is not said yet is counted', state);
  for (const [layer, role] of Object.entries(ROLES)) {
    const box = page.locator(`[data-layer="${layer}"] select`).first();
    told.must(await box.inputValue() === role, 'a layer is suggested for what it is', `${layer}: ${await box.inputValue()}`);
  }
  // Files dropped anywhere on the page.
  const dropped = ['climate.csv', 'stock.toml'].map((name) => ({ name, text: readFileSync(join(files, name), 'utf8') }));
  state = await told.looks(() => page.evaluate((all) => {
    const data = new DataTransfer();
    for (const { name, text } of all) data.items.add(new File([text], name));
    document.body.dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }));
  }, dropped));
  told.must((await page.locator('.held li b').allInnerTexts()).includes('climate.csv'), 'a file that was dropped is listed');
  told.must((await page.locator('#told').innerText()).length > 0, 'what came of it is heard');
  if (isSpoilt) { await told.state('with files'); }

  // What codes stand for.
  const unsaid = await page.locator('.settle li').count();
  told.must(unsaid >= COVER.length, 'each code is asked about', unsaid);
  for (const [code, name, treatment, gaps] of COVER) {
    await page.getByLabel(`Name of code ${code}`, { exact: true }).fill(name);
    await page.getByLabel(`What is done with code ${code}`, { exact: true }).selectOption(treatment);
    if (gaps) await page.getByLabel(`Gaps of code ${code}, percent`).fill(gaps);
  }
  const drainage = await page.getByLabel('Drainage class of code VP').inputValue();
  told.must(drainage === 'very_poor', 'drainage is suggested by its letters', drainage);

  // The rest of what only a person knows.
  await page.getByLabel('Name of the property').fill('Kestrel Fold');
  state = await told.looks(() => page.getByLabel(/Height of the climate station/).fill('40'));
  told.must(await page.getByLabel('Name of code 3', { exact: true }).inputValue() === 'scattered scrub', 'what was typed stays while the program looks');
  told.must(/^Ready to plan/.test(state), 'nothing is left to settle', state);
  told.must(await page.locator('#sketch svg rect').count() >= 8, 'where the layers lie is drawn', await page.locator('#sketch svg rect').count());
  const power = page.locator('[data-layer="power_line"] details');
  await power.locator('summary').click();
  await told.looks(() => power.getByLabel('Distance, m').fill('15'));
  told.must((await power.locator('summary').innerText()).startsWith('power line: 15 m'), 'a distance is taken', await power.locator('summary').innerText());
  await page.locator('#look summary', { hasText: 'The site file' }).click();
  told.must((await page.locator('pre.text').innerText()).includes('distance_m = 15'), 'the site file is shown as it will be written');
  if (isSpoilt) return;
  await told.state('all said');
  await page.selectOption('#theme', 'dark');
  await told.state('dark');
  await page.selectOption('#theme', 'light');
  await page.setViewportSize({ width: 320, height: 800 });
  const wide = await page.evaluate(() => [...document.querySelectorAll('body *')].filter((one) => one.getBoundingClientRect().right > innerWidth + 1 && !one.closest('.scrolls, pre')).map((one) => `${one.tagName}.${one.className}`));
  told.must(wide.length === 0 && await page.evaluate(() => document.documentElement.scrollWidth) <= 320, 'at 320 px nothing runs off the side', wide.slice(0, 6));
  await told.state('narrow');
  await page.setViewportSize({ width: 1280, height: 800 });

  // Another layer for a role, and back: by the keyboard alone.
  const fence = page.locator('[data-layer="boundary_line"] select').first();
  await fence.focus();
  state = await told.looks(() => page.keyboard.press('ArrowUp'));
  told.must(await page.evaluate(() => document.activeElement.tagName) === 'SELECT', 'the focus stays where it was');
  await told.looks(() => page.keyboard.press('ArrowDown'));
  const go = page.getByRole('button', { name: 'Plan this property' });
  await page.waitForFunction(() => !document.querySelector('.go button').disabled);
  await go.focus();
  await page.keyboard.press('Enter');
  await page.waitForFunction(() => document.querySelector('#drawer tbody th button'));
  told.measured.from_files_to_first_mosaic_ms = Date.now() - from;
  told.must((await page.locator('#property-name').innerText()) === 'Kestrel Fold', 'the bench has the property', await page.locator('#property-name').innerText());
  const zones = await page.locator('#drawer [role=tabpanel]:not([hidden]) tbody th button').count();
  told.must(zones > 20, 'its zones are there', zones);
  await page.waitForTimeout(1000);
  await page.screenshot({ path: join(shots, 'beginning-first_mosaic.png') });
}

/** A fault for each kind of finding: what is broken, and what must then be found. */
const FAULTS = [
  { name: 'a field without a name', check: 'axe', spoil: (context) => context.route('**/js/begin/codes.js', (route) => edited(route, "'aria-label': `Name of code ${code}`, ", '')) },
  { name: 'a script that stops', check: 'error of a script', spoil: (context) => context.route('**/js/begin/sketch.js', (route) => edited(route, 'if (places.length === 0) {', 'if (places.length) { throw new Error("spoilt"); } {')) },
  { name: 'files that are not taken in', check: 'a file that was chosen is listed', spoil: (context) => context.route('**/api/begin', async (route) => {
    const answer = await route.fetch();
    const told = await answer.json();
    await route.fulfill({ response: answer, json: { ...told, files: [] } });
  }) },
  { name: 'a request elsewhere', check: 'error on the console', spoil: (context) => context.route('**/js/begin/ground.js', (route) => edited(route, 'const body', "fetch('http://example.invalid/'); const body")) },
  { name: 'typing that is wiped', check: 'what was typed stays', spoil: (context) => context.route('**/js/begin/codes.js', (route) => edited(route, 'if (now === shown) return;', "for (const one of answers.cover.values()) one.name = '';")) },
];

async function edited(route, from, to) {
  const answer = await route.fetch();
  const text = await answer.text();
  if (!text.includes(from)) throw new Error(`not found: ${from}`);
  await route.fulfill({ response: answer, body: text.replace(from, to) });
}

const door = await enter();
let ok;
if (proving) {
  const missed = [];
  for (const fault of FAULTS) {
    const { findings } = await walk(door, fault.spoil);
    if (!findings.some((one) => one.check.startsWith(fault.check))) missed.push({ fault: fault.name, findings });
  }
  ok = missed.length === 0;
  console.log(JSON.stringify({ faults: FAULTS.length, missed }));
} else {
  const { findings, steps, axe: looked, measured } = await walk(door);
  ok = findings.length === 0 && steps > 0;
  console.log(JSON.stringify({ findings, steps, axe: looked, measured }));
}
await browser.close();
process.exit(ok ? 0 : 1);
