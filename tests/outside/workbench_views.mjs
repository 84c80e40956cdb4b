// Journeys through the other views: two plans, the hill, the printed sheet.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { tmpdir } from 'node:os';

const numberIn = (words) => Number(words.replace(/[^0-9.\-−]/g, '').replace('−', '-'));

/** Follows the first skip link, which must lead into the view. */
async function skips(walk, view) {
  const { page } = walk;
  for (const link of await page.locator('.skips a:not([hidden])').all()) {
    await link.focus();
    await page.keyboard.press('Enter');
    const to = (await link.getAttribute('href')).slice(1);
    walk.must((await page.evaluate(() => document.activeElement.id)) === to, `skip links of ${view} lead somewhere`, `${to}: ${await walk.held()}`);
  }
}

async function twoPlans(walk) {
  const { page } = walk;
  await walk.chooseFirst();
  const select = page.locator('#card select').first();
  const options = await select.locator('option').evaluateAll((all) => all.map((one) => one.value));
  let scene = null;
  for (const one of options.slice(1, 3)) scene = await walk.asks('/api/change', () => select.selectOption(one));
  await page.getByRole('button', { name: 'Close', exact: true }).first().click();
  await page.click('[data-view=two]');
  await page.locator('.two .map').nth(1).waitFor();
  await walk.painted();
  walk.must((await walk.colours()) > 12, 'both plans are drawn', await walk.colours());
  const opened = await page.evaluate(() => fetch('/api/opened').then((answer) => answer.json()));
  const looks = (plan, at) => JSON.stringify(plan.zones.lines[at].map(({ line, share }) => [plan.lines[line].stock_id, Math.round(share * 100)]).sort());
  const differ = scene.zones.rows.map((row) => row[0]).filter((_, at) => looks(scene, at) !== looks(opened, at));
  const listed = await page.locator('.differences tbody th').allInnerTexts();
  walk.must(differ.length > 0 && differ.join() === listed.join(), 'what differs is listed', `${differ} / ${listed}`);
  const names = (await page.locator('.differences li').allInnerTexts()).map((words) => words.split(':')[0]);
  walk.must(new Set(names).size === names.length, 'each figure has a name of its own', names);
  await walk.state('two plans');
  const right = page.locator('.two .map').nth(1);
  const before = await right.screenshot();
  await page.locator('.two .map').first().focus();
  await page.keyboard.press('ArrowRight');
  await walk.painted();
  walk.must(!before.equals(await right.screenshot()), 'the other plan moves along');
  await skips(walk, 'two plans');
  await page.click('[data-view=map]');
  await walk.undoAll();
}

async function printSheet(walk) {
  const { page } = walk;
  await page.click('[data-view=print]');
  await page.getByLabel('Paper').selectOption('a3-landscape');
  await page.getByLabel('Scale', { exact: true }).selectOption('10000');
  await walk.painted();
  await page.waitForTimeout(600);
  // CSS: 96 pixels are 25.4 mm (CSS Values and Units Level 4, absolute lengths).
  const bar = await page.locator('.paper .bar').boundingBox();
  const told = await page.locator('.paper .scale span').innerText();
  const metres = numberIn(told) * (told.includes('km') ? 1000 : 1);
  walk.must(Math.abs((bar.width * 25.4) / 96 / 1000 * 10_000 - metres) / metres < 0.01, 'the bar on paper is true', `${bar.width} px for ${told}`);
  walk.must((await walk.text('.paper footer')).includes('licensed people decide'), 'cautions stand on the sheet');
  walk.must((await page.locator('.paper .legend li').count()) >= 4, 'the legend stands on the sheet');
  // 21:00 of the first of March by UTC is ten in the morning of the second in New Zealand (UTC+13, daylight time).
  walk.must((await walk.text('.paper header')).includes('2 March 2027'), 'the sheet has its date, of this place', await walk.text('.paper header'));
  await walk.state('sheet');
  await skips(walk, 'print sheet');
  const file = join(tmpdir(), `sheet-${process.pid}.pdf`);
  await page.pdf({ path: file, preferCSSPageSize: true, printBackground: true });
  const pdf = readFileSync(file, 'latin1');
  const pages = (pdf.match(/\/Type\s*\/Page[^s]/g) ?? []).length;
  const box = pdf.match(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)/)?.slice(1).map(Number) ?? [];
  walk.must(pages === 1, 'one sheet is one page', pages);
  // ISO 216: A3 is 297 mm by 420 mm; a point is 1/72 inch.
  walk.must(Math.abs(box[0] - 420 / 25.4 * 72) < 1.5 && Math.abs(box[1] - 297 / 25.4 * 72) < 1.5, 'the page is A3', box);
}

/** A plan with as many lines as are wanted, each of them planted somewhere. */
async function withLines(walk, count) {
  await walk.page.route('**/api/scene*', async (route) => {
    const answer = await route.fetch();
    const scene = await answer.json();
    const lines = Array.from({ length: count }, (_, at) => ({ ...scene.lines[at % scene.lines.length], stock_id: `line-${at}`, name: `Line ${at + 1} of upper and lower ridges`, colour: scene.lines[0].colour, letter: String.fromCharCode(65 + at % 26) }));
    let given = 0;
    const on = scene.zones.lines.map((parts) => parts.map((part) => {
      given += 1;
      return { ...part, line: given % count };
    }));
    await route.fulfill({ response: answer, json: { ...scene, lines, zones: { ...scene.zones, lines: on } } });
  });
  await walk.page.reload();
  await walk.page.locator('#drawer tbody th button').first().waitFor();
}

/** How many of the plan's lines stand whole on the sheet, and how many are told as left out. */
function legendOf(walk) {
  return walk.page.evaluate(() => {
    const aside = document.querySelector('.paper .aside').getBoundingClientRect();
    const isWhole = (one) => {
      const box = one.getBoundingClientRect();
      return box.height > 0 && box.bottom <= aside.bottom + 1 && box.right <= aside.right + 1 && one.scrollWidth <= one.clientWidth + 1;
    };
    const items = [...document.querySelectorAll('.paper .legend li')];
    const frame = document.querySelector('.paper .frame').getBoundingClientRect();
    return {
      lines: items.filter((one) => /^Line \d/.test(one.textContent) && isWhole(one)).length,
      cut: items.filter((one) => !isWhole(one)).map((one) => one.textContent),
      out: Number(document.querySelector('.paper .legend .more')?.textContent.match(/\d+/)?.[0] ?? 0),
      all: items.length,
      map: frame.height / document.querySelector('.paper').getBoundingClientRect().height,
    };
  });
}

async function longLegend(walk) {
  const { page } = walk;
  for (const count of [20, 90]) {
    await withLines(walk, count);
    await page.click('[data-view=print]');
    await page.locator('.paper .legend li').first().waitFor();
    for (const paper of ['a4-landscape', 'a4-portrait', 'a3-landscape', 'a3-portrait']) {
      await page.getByLabel('Paper').selectOption(paper);
      await walk.painted();
      const { lines, cut, out, all, map } = await legendOf(walk);
      const ofLand = 3; // left to regenerate, native stand, kept clear
      walk.must(cut.length === 0, 'no class of the legend is cut', `${count} on ${paper}: ${cut.slice(0, 3)}`);
      walk.must(count > 20 || lines === count, 'the legend has every line', `${count} on ${paper}: ${lines}`);
      walk.must(out === 0 ? lines === count : all - 1 + out === count + ofLand, 'what the sheet has no room for is told', `${count} on ${paper}: ${all} and ${out}`);
      walk.must(map > 0.4, 'the map keeps its room on the sheet', `${count} on ${paper}: ${map}`);
      if (paper.startsWith('a4')) await walk.state(`${count} lines on ${paper}`);
    }
    await page.unrouteAll({ behavior: 'wait' });
  }
}

async function hill(walk) {
  const { page } = walk;
  await page.click('[data-view=hill]');
  const land = page.locator('canvas.land');
  await land.waitFor();
  await page.waitForTimeout(1500);
  const before = await land.screenshot();
  walk.must(before.length > 15_000, 'the hill is drawn', before.length);
  await page.getByRole('button', { name: 'Turn left' }).click();
  await page.waitForTimeout(700);
  const turned = await land.screenshot();
  walk.must(!before.equals(turned), 'a button turns it');
  await land.focus();
  await page.keyboard.press('ArrowUp');
  await page.waitForTimeout(700);
  walk.must(!turned.equals(await land.screenshot()), 'a key tilts it');
  await page.getByLabel('Heights').selectOption('2');
  walk.must(/m above the sea/.test(await walk.text('.hill .words')), 'words say the same', await walk.text('.hill .words'));
  await walk.state('hill');
  await skips(walk, 'hill');
}

async function noHill(walk) {
  const { page } = walk;
  await page.evaluate(() => { const { getContext } = HTMLCanvasElement.prototype;
    HTMLCanvasElement.prototype.getContext = function flat(kind, ...more) { return kind.startsWith('webgl') ? null : getContext.call(this, kind, ...more); };
   });
  await page.click('[data-view=hill]');
  await page.getByText('needs WebGL').waitFor();
  walk.must((await walk.text('.hill .words')).includes('ha of map'), 'words are there without a picture');
}

/** Every view in a small window. */
async function small(walk) {
  const { page } = walk;
  for (const view of ['two', 'hill', 'print']) {
    await page.click(`[data-view=${view}]`);
    await page.waitForTimeout(1500);
    const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
    walk.must(over <= 0, 'a view is no wider than the window', `${view}: ${over}`);
    await walk.state(`small ${view}`);
  }
}

export const VIEWS = [
  { name: 'two plans', walk: twoPlans },
  { name: 'print sheet', walk: printSheet, timezoneId: 'Pacific/Auckland', now: '2027-03-01T21:00:00Z' },
  { name: 'long legend', walk: longLegend },
  { name: 'hill', walk: hill, draws: true },
  { name: 'no hill', walk: noHill },
  { name: 'small views', walk: small, draws: true, viewport: { width: 320, height: 640 } },
];
