// One walk through the page of the workbench: what it watches all the way, and the steps that journeys share.
import { join } from 'node:path';

const TAGS = ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'];
const PATIENCE = 60_000; // milliseconds for one answer of the program
const HASTE = 8_000; // the same on a page with a fault

export class Walk {
  constructor({ name, axe, url, shots }) {
    Object.assign(this, { name, axe, url, shots, findings: [], steps: 0, axeRules: 0, measured: {}, pardoned: [] });
  }

  /** Opens the page; `spoil` breaks it first. */
  async open(context, spoil) {
    this.context = context;
    const origin = new URL(this.url).origin;
    await context.route('**/*', (route) => {
      const asked = route.request().url();
      if (asked.startsWith(`${origin}/`) || asked.startsWith('data:') || asked.startsWith('blob:')) return route.fallback();
      this.found('request elsewhere', asked);
      return route.abort();
    });
    if (spoil) await spoil(context, origin);
    this.page = await context.newPage();
    this.page.setDefaultTimeout(spoil ? HASTE : PATIENCE);
    this.page.on('pageerror', (error) => this.found('error of a script', String(error)));
    this.page.on('console', (message) => {
      const text = `${message.text()} ${message.location().url}`;
      if (message.type() === 'error' && !this.pardoned.some((one) => text.includes(one))) this.found('error on the console', text);
    });
    const from = Date.now();
    await this.page.goto(this.url);
    await this.page.waitForFunction(() => document.querySelector('#drawer tbody th button'), null);
    await this.painted();
    this.measured.page_to_first_map_ms ??= Date.now() - from;
  }

  async close() {
    await this.page?.close();
  }

  found(check, words) {
    this.findings.push({ journey: this.name, check, found: words });
    if (this.caught && check.startsWith(this.expected)) this.caught();
  }

  /** Holds a step to its word. */
  must(holds, check, words = '') {
    if (holds) this.steps += 1;
    else this.found(check, String(words));
  }

  /** What axe finds now, and a picture. */
  async state(name) {
    await this.page.evaluate(this.axe);
    const { violations, passes } = await this.page.evaluate((tags) => axe.run(document, { runOnly: { type: 'tag', values: tags } }), TAGS); // eslint-disable-line no-undef
    if (passes.length <= 10) this.found('axe looked at the page', passes.length);
    for (const one of violations) this.found(`axe ${one.id}`, `${name}: ${one.nodes.length}: ${one.nodes[0].html.slice(0, 200)} ${one.nodes[0].failureSummary?.split('\n').slice(1, 3).join(' ')}`);
    this.axeRules += passes.length;
    if (this.shots) await this.page.screenshot({ path: join(this.shots, `${this.name.replaceAll(' ', '_')}-${name.replaceAll(' ', '_')}.png`) });
  }

  /** Waits until the map has drawn two frames and nothing is under way. */
  async painted() {
    await this.page.waitForFunction(() => document.body.getAttribute('aria-busy') !== 'true');
    await this.page.evaluate(() => new Promise((done) => { requestAnimationFrame(() => requestAnimationFrame(done)); }));
    await this.page.waitForTimeout(250);
  }

  /** Holds answers to `path` back for so many milliseconds, until what is returned is called. */
  async slow(path, milliseconds) {
    const held = async (route) => {
      const response = await route.fetch();
      await new Promise((done) => { setTimeout(done, milliseconds); });
      await route.fulfill({ response });
    };
    await this.page.route((asked) => asked.pathname === path, held);
    return () => this.page.unrouteAll({ behavior: 'wait' });
  }

  /** What holds the focus, as a selector would name it. */
  held() {
    return this.page.evaluate(() => {
      const { tagName, id, dataset, textContent } = document.activeElement;
      return [tagName.toLowerCase(), id && `#${id}`, ...Object.entries(dataset).map(([key, value]) => `[${key}=${value}]`), ` ${textContent.trim().slice(0, 30)}`].join('');
    });
  }

  /** Whether the focus is on something. */
  async mustHold(check) {
    const held = await this.held();
    this.must(!held.startsWith('body'), check, held);
  }

  /** How many pixels of the map have a colour. @param {string} colour `#rrggbb` */
  paints(colour) {
    return this.page.evaluate((wanted) => {
      const [r, g, b] = [1, 3, 5].map((at) => Number.parseInt(wanted.slice(at, at + 2), 16));
      let count = 0;
      for (const canvas of document.querySelectorAll('#map .ol-layer canvas')) {
        const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
        for (let at = 0; at < data.length; at += 4) if (data[at] === r && data[at + 1] === g && data[at + 2] === b && data[at + 3] > 250) count += 1;
      }
      return count;
    }, colour);
  }

  /** The plan as the program tells it now. */
  scene() {
    return this.page.evaluate(() => fetch('/api/scene').then((answer) => answer.json()));
  }

  /** Does `act`, which must ask the program at `path`, and waits for what comes of it. @returns the answer */
  async asks(path, act) {
    const answered = this.page.waitForResponse((answer) => new URL(answer.url()).pathname === path && answer.request().method() === 'POST');
    answered.catch(() => {}); // where `act` itself cannot be done, that is what is told
    await act();
    const answer = await answered;
    const told = await answer.json();
    await this.painted();
    return told;
  }

  text(selector) {
    return this.page.locator(selector).first().innerText();
  }

  /** Names in the first column of the table that is shown. */
  rows() {
    return this.page.locator('#drawer [role=tabpanel]:not([hidden]) tbody th button').allInnerTexts();
  }

  async chooseFirst() {
    await this.page.locator('#drawer [role=tabpanel]:not([hidden]) tbody th button').first().click();
    await this.page.locator('#card select').waitFor();
  }

  /** Opens the section of rules that `path` is in, and finds its field. */
  async rule(path) {
    await this.page.click('#tab-rules');
    await this.page.fill('#rule-search', path);
    const field = this.page.locator(`[data-path="${path}"]`);
    await field.waitFor();
    return field;
  }

  /** Types `value` into a field and leaves it. */
  async type(field, value) {
    await field.fill(String(value));
    await field.press('Tab');
  }

  /** Everything back to how it was opened. */
  async undoAll() {
    while (await this.isOn('#undo')) await this.asks('/api/undo', () => this.page.click('#undo'));
  }

  /** Whether a button can be pressed. */
  async isOn(selector) {
    return (await this.page.locator(selector).getAttribute('aria-disabled')) !== 'true';
  }

  /** Colours that the map shows, roughly. */
  colours() {
    return this.page.evaluate(() => {
      const seen = new Set();
      for (const canvas of document.querySelectorAll('[data-view]:not([hidden]) .ol-layer canvas')) {
        const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
        for (let at = 0; at < data.length; at += 4 * 97) if (data[at + 3] > 200) seen.add((data[at] >> 4) << 8 | (data[at + 1] >> 4) << 4 | data[at + 2] >> 4);
      }
      return seen.size;
    });
  }

  /** How many shades the picture at `path` has, of those pixels that can be seen. */
  shades(path) {
    return this.page.evaluate(async (from) => {
      const picture = new Image();
      picture.src = from;
      await picture.decode();
      const canvas = new OffscreenCanvas(picture.width, picture.height);
      const pen = canvas.getContext('2d');
      pen.drawImage(picture, 0, 0);
      const { data } = pen.getImageData(0, 0, picture.width, picture.height);
      const seen = new Set();
      for (let at = 0; at < data.length; at += 4) if (data[at + 3] > 0) seen.add((data[at] << 16) | (data[at + 1] << 8) | data[at + 2]);
      return seen.size;
    }, path);
  }

  /** Names of planted lines whose own colour is nowhere on the map; lines must be drawn at full strength. */
  linesNotSeen() {
    return this.page.evaluate(async () => {
      const { lines, zones } = await (await fetch('/api/scene')).json();
      const seen = new Map();
      for (const canvas of document.querySelectorAll('#map .ol-layer canvas')) {
        const { data } = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height);
        for (let at = 0; at < data.length; at += 4) {
          const colour = (data[at] << 16) | (data[at + 1] << 8) | data[at + 2];
          seen.set(colour, (seen.get(colour) ?? 0) + 1);
        }
      }
      const planted = new Set(zones.lines.flat().map((part) => part.line));
      const missing = lines.filter((line, at) => planted.has(at) && (seen.get(Number.parseInt(line.colour.slice(1), 16)) ?? 0) < 20);
      return missing.map((line) => line.name).join(', ');
    });
  }

  /** Place on the screen, as shares of the map's box. */
  async onMap(x, y) {
    const box = await this.page.locator('#map').boundingBox();
    return [box.x + box.width * x, box.y + box.height * y];
  }
}
