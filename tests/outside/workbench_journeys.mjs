// What people do on the page of the workbench, from the first look to the printed sheet.
import { readFileSync } from 'node:fs';
import { join } from 'node:path';
import { tmpdir } from 'node:os';

const RULE = 'mosaic.min_share';
const DENSITY = 'density.usual_sph'; // moves every figure
const numberIn = (words) => Number(words.replace(/[^0-9.\-−]/g, '').replace('−', '-'));

/** Before, after and difference of each figure that a change moved. */
const figures = (page) => page.locator('#done li:not(.same)').allInnerTexts().then((all) => all.map((words) => {
  const [, before, after, gap] = words.match(/: ([\d,.]+) → ([\d,.]+).*\(([+−±][\d,.]+)/) ?? [];
  return { words, before: numberIn(before ?? ''), after: numberIn(after ?? ''), gap: numberIn((gap ?? '').replace(/[+±]/, '')) };
}));

async function look(walk) {
  const { page } = walk;
  for (let at = 0; at < 2; at += 1) await page.getByRole('button', { name: 'How strong the lines are: more' }).click();
  await walk.painted();
  walk.must((await walk.linesNotSeen()) === '', 'the map is drawn', `not seen: ${await walk.linesNotSeen()}`);
  for (let at = 0; at < 2; at += 1) await page.getByRole('button', { name: 'How strong the lines are: less' }).click();
  const name = await walk.text('#property-name');
  walk.must((await page.title()).startsWith(name), 'the title names the property', await page.title());
  const letters = await page.locator('#panel-look .legend').first().locator('li').allInnerTexts();
  walk.must(letters.length >= 4, 'the legend has lines and ground', letters.length);
  const scale = () => walk.text('.readout .scale');
  const first = await scale();
  await page.getByRole('button', { name: 'Nearer', exact: true }).first().click();
  await page.getByRole('button', { name: 'Nearer', exact: true }).first().click();
  await walk.painted();
  walk.must((await scale()) !== first, 'the scale bar follows', first);
  await page.mouse.move(...(await walk.onMap(0.5, 0.5)));
  walk.must((await walk.text('.readout > span')).startsWith('Pointer'), 'the place of the pointer is told', await walk.text('.readout > span'));
  await page.getByRole('button', { name: 'Whole property' }).click();
  const before = await walk.colours();
  for (const option of await page.locator('#panel-look select option').evaluateAll((all) => all.map((one) => one.value))) {
    await page.locator('#panel-look select').first().selectOption(option);
    await walk.painted();
  }
  walk.must(before > 12, 'the ground can be chosen', before);
  for (const { id, legend } of (await page.evaluate(() => fetch('/api/property').then((answer) => answer.json()))).rasters) {
    const least = legend?.length ? 2 : 20;
    const shades = await walk.shades(`/api/raster/${id}.png`);
    walk.must(shades >= least, 'a picture of the ground has shades', `${id}: ${shades}`);
  }
  await page.getByRole('button', { name: 'How strong the lines are: less' }).click();
  walk.must((await walk.text('#panel-look output >> nth=1')).startsWith('70'), 'a button does what the slider does', await walk.text('#panel-look output >> nth=1'));
  for (const box of await page.locator('#panel-look input[type=checkbox]').all()) await box.setChecked(true);
  await walk.painted();
  await walk.state('every layer');
}

async function cover(walk) {
  const { page } = walk;
  await page.getByRole('button', { name: 'Show cover by year' }).click();
  const slider = page.getByRole('slider', { name: 'Year' });
  await slider.waitFor();
  const told = () => walk.text('#panel-look [role=status]');
  const first = await told();
  await page.getByRole('button', { name: 'Year before' }).click();
  walk.must((await told()) !== first, 'a step of a year changes what is told', first);
  walk.must(/ha of map protected/.test(await told()), 'what is protected has its unit', await told());
  await page.click('#tab-pieces');
  await page.locator('#panel-pieces tbody th button').first().click();
  await page.locator('#card dl').waitFor();
  walk.must(/target of cover/.test(await walk.text('#card')), 'a piece below its cover is told', await walk.text('#card'));
  await walk.painted();
  await walk.state('cover');
  await page.getByRole('button', { name: 'Hide the cover' }).click();
}

async function trees(walk) {
  const { page } = walk;
  await page.getByRole('button', { name: 'Draw the places' }).click();
  await page.getByRole('button', { name: 'Hide the places' }).waitFor();
  await page.click('#tab-trees');
  const names = await walk.rows();
  walk.must(names.length >= 30, 'a place a row', names.length);
  await page.locator('#panel-trees tbody th button').first().click();
  await page.locator('#card dl').waitFor();
  walk.must((await walk.text('#card')).includes('mother tree'), 'a place is told', await walk.text('#card'));
  await walk.painted();
  await walk.state('trees to sample');
  await page.getByRole('button', { name: 'Hide the places' }).click();
  walk.must((await walk.rows()).length === 0, 'hidden places are in no table', (await walk.rows()).length);
}

async function chooseByClick(walk) {
  const { page } = walk;
  for (const [x, y] of [[0.5, 0.5], [0.45, 0.6], [0.55, 0.4], [0.4, 0.45]]) {
    await page.mouse.click(...(await walk.onMap(x, y)));
    await page.waitForTimeout(500);
    if (await page.locator('#card select').count()) break;
  }
  const title = await walk.text('#card h2');
  const row = await walk.text('#drawer [role=tabpanel]:not([hidden]) tr.chosen th');
  walk.must(title === `Zone ${row}`, 'card and table tell the same zone', `${title} / ${row}`);
  walk.must(/S1 .*N /.test(await walk.text('#card .fit')), 'shares of suitability are told', await walk.text('#card .fit'));
  await walk.state('zone card');
}

async function chooseByKeyboard(walk) {
  const { page } = walk;
  await page.focus('#map');
  await page.keyboard.press('n');
  await page.locator('#card h2').waitFor({ timeout: 5_000 });
  const first = await walk.text('#card h2');
  await page.keyboard.press('n');
  await walk.painted();
  walk.must((await walk.text('#card h2')) !== first, 'N goes to the next zone', first);
  await page.keyboard.press('p');
  await page.waitForTimeout(300);
  walk.must((await walk.text('#card h2')) === first, 'P goes back', await walk.text('#card h2'));
  const place = await walk.text('.readout > span');
  await page.keyboard.press('ArrowRight');
  await walk.painted();
  walk.must((await walk.text('.readout > span')) !== place, 'arrows move the map', place);
  await page.keyboard.press('Tab');
  walk.must(await page.evaluate(() => document.activeElement.id !== 'map'), 'Tab leaves the map');
  await page.focus('#map');
  await page.keyboard.press('Escape');
  walk.must(await page.locator('#card').isHidden(), 'Escape leaves the choice');
  walk.must((await walk.text('#told')) !== '', 'what was chosen is told', '');
}

async function changeRule(walk) {
  const { page } = walk;
  const field = await walk.rule(RULE);
  const was = await field.inputValue();
  const scene = await walk.asks('/api/change', () => walk.type(field, Number(was || 0.2) === 0.45 ? 0.4 : 0.45));
  walk.must(scene.change !== null && await page.locator('#done').isVisible(), 'what the change did is told');
  const told = (scene.change?.figures ?? []).map((one) => one.name);
  walk.must(told.length >= 6, 'every figure is told', told);
  const moved = await walk.asks('/api/change', async () => {
    const sph = await walk.rule(DENSITY);
    await walk.type(sph, Number(await sph.inputValue() || 1111) + 150);
  });
  walk.must(moved.change?.figures.some((one) => one.after > one.before), 'closer planting takes more plants', JSON.stringify(moved.problems));
  walk.must((await figures(page)).length > 1, 'what moved is told', (await figures(page)).length);
  for (const { words, before, after, gap } of await figures(page)) {
    walk.must(Math.abs(after - before - gap) <= 0.11 * Math.max(1, Math.abs(gap) / 100), 'the difference is after less before', words);
  }
  walk.must(await page.locator('#undo').isEnabled(), 'it can be undone');
  walk.must(/site/.test(await walk.text('#unsaved')), 'the file not saved is named', await walk.text('#unsaved'));
  await walk.state('rule changed');
  await walk.rule(RULE);
  await walk.asks('/api/change', () => page.getByRole('button', { name: `Back to default: ${RULE}` }).click());
  walk.must((await (await walk.rule(RULE)).inputValue()) === '', 'the default is an empty field');
  await walk.undoAll();
  walk.must((await (await walk.rule(RULE)).inputValue()) === was, 'undo brings the value back', was);
}

async function refused(walk) {
  const { page } = walk;
  walk.pardoned.push('/api/change');
  const field = await walk.rule(RULE);
  await walk.asks('/api/change', () => walk.type(field, 7));
  const words = (await page.locator('#notice, #panel-check').allInnerTexts()).join(' ');
  walk.must(['Found', 'Expected', 'Remedy'].every((one) => words.includes(one)), 'a refusal says what was found, expected and the remedy', words);
  await walk.state('refused');
  await walk.undoAll();
}

async function draft(walk) {
  const { page } = walk;
  const problem = { severity: 'error', file: 'site.toml', item: 'mosaic.seasons', line: 12, column: 3, found: 'seven winters', expected: 'a year', remedy: 'name one' };
  await page.route('**/api/scene*', async (route) => {
    const answer = await route.fetch();
    await route.fulfill({ response: answer, json: { ...(await answer.json()), stale: true, problems: [problem] } });
  });
  await page.reload();
  await page.locator('#drawer tbody th button').first().waitFor();
  const words = await walk.text('#notice');
  walk.must(words.includes('last plan that could be made'), 'a map that is behind says so', words);
  walk.must(words.includes('site.toml') && words.includes('line 12') && words.includes('name one'), 'the problem has place and remedy', words);
  await walk.state('draft');
}

async function fixLine(walk) {
  const { page } = walk;
  await walk.chooseFirst();
  const zone = (await walk.text('#card h2')).replace('Zone ', '');
  const select = page.locator('#card select').first();
  const options = await select.locator('option').evaluateAll((all) => all.map((one) => one.value));
  const planted = await walk.text('#drawer tr.chosen td');
  const names = await select.locator('option').allInnerTexts();
  const at = options.findIndex((one, place) => one && !planted.includes(names[place].split(' (')[0]));
  const scene = await walk.asks('/api/change', () => select.selectOption(options[at]));
  const choice = scene.choices?.find((one) => one.zone_id === zone);
  walk.must(choice?.line === options[at], 'the choice is kept', JSON.stringify(scene.problems ?? choice));
  await page.waitForTimeout(500);
  walk.must((await page.locator('#card select').first().inputValue()) === options[at], 'the card shows the choice');
  await walk.asks('/api/change', () => page.locator('#card input[type=checkbox]').nth(options.length > 2 ? (at % (options.length - 1)) : 0).check());
  await walk.state('choices by hand');
  await walk.undoAll();
  await page.waitForTimeout(500);
  walk.must((await page.locator('#card select').first().inputValue()) === '', 'undo takes the choice away');
}

async function backAndForth(walk) {
  const { page } = walk;
  const total = async () => {
    await page.click('#tab-check');
    return page.locator('#panel-check tr', { hasText: 'Seedlings' }).innerText();
  };
  const first = await total();
  for (const value of [0.3, 0.35]) await walk.asks('/api/change', async () => walk.type(await walk.rule(RULE), value));
  const last = await total();
  await page.focus('#map');
  for (let at = 0; at < 2; at += 1) await walk.asks('/api/undo', () => page.keyboard.press('Control+z'));
  walk.must((await total()) === first, 'all undone is as at first', `${first} / ${await total()}`);
  walk.must(await page.locator('#undo').isDisabled(), 'nothing more to undo');
  await page.focus('#map');
  await walk.asks('/api/redo', () => page.keyboard.press('Control+y'));
  await walk.asks('/api/redo', () => page.keyboard.press('Control+Shift+Z'));
  walk.must((await total()) === last, 'all redone is as at last', `${last} / ${await total()}`);
  await walk.undoAll();
}

async function drawBreak(walk) {
  const { page } = walk;
  await page.click('#tab-draw');
  await page.getByRole('button', { name: 'Draw with the pointer' }).click();
  const [a, b] = [await walk.onMap(0.3, 0.5), await walk.onMap(0.7, 0.45)];
  await page.mouse.click(...a);
  await page.waitForTimeout(400);
  await page.mouse.dblclick(...b);
  await page.waitForTimeout(400);
  walk.must((await page.locator('.points tbody tr').count()) >= 2, 'points of the pointer are in the list', await page.locator('.points tbody tr').count());
  await page.getByRole('button', { name: 'Put it on the map' }).click();
  walk.must((await walk.text('#panel-draw [role=status]')).includes('name'), 'a name is asked for', await walk.text('#panel-draw [role=status]'));
  await page.getByLabel('Name', { exact: true }).fill('ridge fence');
  await walk.state('line drawn');
  const scene = await walk.asks('/api/change', () => page.getByRole('button', { name: 'Put it on the map' }).click());
  walk.must(scene.drawn?.some((one) => one.name === 'ridge fence' && one.what === 'break'), 'the break line is in the plan', JSON.stringify(scene.problems));
  await walk.state('break line');
  await walk.asks('/api/change', () => page.getByRole('button', { name: 'Erase break line ridge fence' }).click());
  walk.must((await page.getByRole('button', { name: 'Erase break line ridge fence' }).count()) === 0, 'it is erased');
  await walk.undoAll();
}

async function keepClear(walk) {
  const { page } = walk;
  await page.click('#tab-draw');
  await page.locator('#panel-draw').getByLabel('What', { exact: true }).selectOption('keep_clear');
  await page.getByRole('button', { name: 'Point at the middle of the map' }).click();
  for (const [east, north] of [[120, 0], [120, 120]]) {
    await page.getByRole('button', { name: 'Add a point to type' }).click();
    const inputs = page.locator('.points tbody tr').last().locator('input');
    const first = page.locator('.points tbody tr').first().locator('input');
    await walk.type(inputs.nth(0), Number(await first.nth(0).inputValue()) + east);
    await walk.type(page.locator('.points tbody tr').last().locator('input').nth(1), Number(await first.nth(1).inputValue()) + north);
  }
  await page.getByLabel('Name', { exact: true }).fill('old hut');
  await page.getByLabel('Reason').fill('ask before digging');
  await page.getByLabel('Distance kept clear').fill('10');
  const scene = await walk.asks('/api/change', () => page.getByRole('button', { name: 'Put it on the map' }).click());
  walk.must(scene.drawn?.some((one) => one.name === 'old hut' && one.what === 'keep_clear'), 'the keep-clear area is in the plan', JSON.stringify(scene.problems));
  await walk.state('keep clear');
  await walk.undoAll();
}

async function tables(walk) {
  const { page } = walk;
  const header = page.locator('#panel-zones button[data-column=plan_area_ha]');
  const values = async () => {
    const at = await page.locator('#panel-zones thead button').evaluateAll((all) => all.findIndex((one) => one.dataset.column === 'plan_area_ha'));
    return (await page.locator(`#panel-zones tbody tr > :nth-child(${at + 1})`).allInnerTexts()).map(numberIn);
  };
  await header.click();
  walk.must((await page.locator('#panel-zones th[aria-sort=ascending]').count()) === 1, 'the sorted column says so');
  walk.must((await values()).every((one, at, all) => at === 0 || all[at - 1] <= one + 0.06), 'rows are sorted', (await values()).slice(0, 5));
  await header.click();
  walk.must((await page.locator('#panel-zones th[aria-sort=descending]').count()) === 1, 'the other way too');
  walk.must((await values()).every((one, at, all) => at === 0 || all[at - 1] >= one - 0.06), 'rows are sorted', (await values()).slice(0, 5));
  const all = (await walk.rows()).length;
  await page.fill('#filter', (await walk.rows())[0]);
  walk.must((await walk.rows()).length < all && (await walk.rows()).length > 0, 'a filter leaves some rows', (await walk.rows()).length);
  await page.fill('#filter', '');
  await page.locator('#panel-zones tbody th button').first().focus();
  await page.keyboard.press('ArrowDown');
  const held = await page.evaluate(() => document.activeElement.dataset.row);
  await page.keyboard.press('Enter');
  await page.locator('#card select').waitFor();
  walk.must((await walk.text('#card h2')) === `Zone ${held}`, 'a row chosen by keyboard opens its card', `${held} ${await walk.text('#card h2')}`);
  for (const key of ['blocks', 'orders', 'keep-clear', 'stands']) {
    await page.click(`#tab-${key}`);
    if ((await walk.rows()).length === 0) continue;
    await page.locator(`#panel-${key} tbody th button`).first().click();
    await page.waitForTimeout(300);
    walk.must(await page.locator('#card').isVisible(), `a row of ${key} is told`);
    await walk.state(key);
    await page.click(`#tab-${key}`);
  }
  const high = async () => (await page.locator('#drawer').boundingBox()).height;
  const before = await high();
  await page.getByRole('button', { name: 'Higher tables' }).click();
  walk.must((await high()) > before, 'tables can be made higher', before);
}

async function stock(walk) {
  const { page } = walk;
  await page.click('#tab-stock');
  await page.locator('#panel-stock summary').first().click();
  const supply = page.locator('#panel-stock input[data-keep$=supply]').first();
  const was = await supply.inputValue();
  const scene = await walk.asks('/api/change', () => walk.type(supply, 5000));
  walk.must(scene.change?.figures.length > 0, 'supply changes the plan', JSON.stringify(scene.problems));
  await page.locator('#panel-stock details details summary').first().click();
  const corner = page.locator('#panel-stock details[open] details[open] input').nth(3);
  const drawn = page.locator('#panel-stock details[open] details[open] svg').first();
  const before = await drawn.getAttribute('aria-label');
  await walk.asks('/api/change', async () => walk.type(corner, Number(await corner.inputValue() || 900) + 25));
  await page.waitForTimeout(500);
  walk.must((await drawn.getAttribute('aria-label')) !== before, 'the drawing of the tolerance follows', before);
  await walk.state('stock');
  await walk.undoAll();
  await page.waitForTimeout(500);
  walk.must((await supply.inputValue()) === was, 'undo brings the supply back', was);
}

async function saving(walk) {
  const { page } = walk;
  const was = await (await walk.rule(RULE)).inputValue();
  await walk.asks('/api/change', async () => walk.type(await walk.rule(RULE), 0.25));
  const asked = page.waitForEvent('dialog');
  await page.close({ runBeforeUnload: true });
  const dialog = await asked;
  walk.must(dialog.type() === 'beforeunload', 'leaving without saving is warned of', dialog.type());
  await dialog.dismiss();
  await page.focus('#map');
  const { saved } = await walk.asks('/api/save', () => page.keyboard.press('Control+s'));
  walk.must(saved.length > 0 && (await page.locator('#unsaved').innerText()) === '', 'all is saved', await page.locator('#unsaved').innerText());
  await walk.state('saved');
  await walk.asks('/api/change', async () => walk.type(await walk.rule(RULE), was));
  await walk.asks('/api/save', () => page.click('#save'));
  walk.must(await page.locator('#save').isDisabled(), 'saved as it was');
}

async function twoPlans(walk) {
  const { page } = walk;
  await walk.chooseFirst();
  const select = page.locator('#card select').first();
  const options = await select.locator('option').evaluateAll((all) => all.map((one) => one.value));
  for (const one of options.slice(1, 3)) await walk.asks('/api/change', () => select.selectOption(one));
  await page.getByRole('button', { name: 'Close', exact: true }).first().click();
  await page.click('[data-view=two]');
  await page.locator('.two .map').nth(1).waitFor();
  await walk.painted();
  walk.must((await walk.colours()) > 12, 'both plans are drawn', await walk.colours());
  walk.must((await walk.text('.differences')).includes('→') || (await walk.text('.differences')).includes('with other lines'), 'what differs is listed', await walk.text('.differences'));
  await walk.state('two plans');
  const right = page.locator('.two .map').nth(1);
  const before = await right.screenshot();
  await page.locator('.two .map').first().focus();
  await page.keyboard.press('ArrowRight');
  await walk.painted();
  walk.must(!before.equals(await right.screenshot()), 'the other plan moves along');
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
  await walk.state('sheet');
  const file = join(tmpdir(), `sheet-${process.pid}.pdf`);
  await page.pdf({ path: file, preferCSSPageSize: true, printBackground: true });
  const pdf = readFileSync(file, 'latin1');
  const pages = (pdf.match(/\/Type\s*\/Page[^s]/g) ?? []).length;
  const box = pdf.match(/\/MediaBox\s*\[\s*0 0 ([\d.]+) ([\d.]+)/)?.slice(1).map(Number) ?? [];
  walk.must(pages === 1, 'one sheet is one page', pages);
  // ISO 216: A3 is 297 mm by 420 mm; a point is 1/72 inch.
  walk.must(Math.abs(box[0] - 420 / 25.4 * 72) < 1.5 && Math.abs(box[1] - 297 / 25.4 * 72) < 1.5, 'the page is A3', box);
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

async function cautions(walk) {
  const { page } = walk;
  const count = numberIn(await walk.text('#cautions-open'));
  await page.click('#cautions-open');
  walk.must((await page.locator('#cautions section').count()) === count && count > 0, 'every caution is told', count);
  walk.must(/licensed people/.test(await walk.text('#cautions')), 'who decides is said');
  await walk.state('cautions');
  await page.keyboard.press('Escape');
  walk.must(await page.evaluate(() => document.activeElement.id === 'cautions-open'), 'the focus comes back');
  await page.click('#cautions-open');
  await page.getByRole('button', { name: /^Outline them on the map/ }).first().click();
  walk.must(await page.locator('#cautions').isHidden(), 'zones of a caution are outlined on the map');
}

async function handOver(walk) {
  const { page } = walk;
  await page.click('#tab-hand-over');
  const report = await walk.asks('/api/report', () => page.getByRole('button', { name: 'Make the report' }).click());
  walk.must(report.files?.length > 0, 'the report is made', JSON.stringify(report.problems));
  await page.locator('#panel-hand-over .files a').first().waitFor();
  const written = await walk.asks('/api/export', () => page.getByRole('button', { name: 'Write the files' }).click());
  walk.must(written.files?.length > 0, 'files for others are written', JSON.stringify(written.problems));
  const links = await page.locator('#panel-hand-over .files a[download]').evaluateAll((all) => all.map((one) => one.href));
  walk.must(links.every((one) => one.startsWith(new URL(page.url()).origin)), 'files come from here', links[0]);
  await walk.state('handed over');
}

async function keyboardAlone(walk) {
  const { page } = walk;
  await page.keyboard.press('Tab');
  walk.must((await page.evaluate(() => document.activeElement.textContent)) === 'Map', 'the first stop skips to the map');
  await page.keyboard.press('Enter');
  walk.must((await page.evaluate(() => document.activeElement.id)) === 'map', 'the skip lands on the map');
  await page.keyboard.press('n');
  await page.locator('#card select').waitFor();
  const stops = new Set();
  let bad = 0;
  for (let at = 0; at < 90; at += 1) {
    await page.keyboard.press('Tab');
    const stop = await page.evaluate(() => {
      const it = document.activeElement;
      if (it === document.body) return { key: 'body', fine: true };
      const { outlineStyle, outlineWidth } = getComputedStyle(it);
      const box = it.getBoundingClientRect();
      const over = document.elementFromPoint(box.x + Math.min(box.width / 2, box.width - 2), box.y + Math.min(box.height / 2, 20));
      const seen = over && (it.contains(over) || over.contains(it) || over.closest('label')?.control === it);
      it.dataset.stop ||= String(Math.random());
      return { key: it.dataset.stop, html: it.outerHTML.slice(0, 120), fine: outlineStyle !== 'none' && Number.parseFloat(outlineWidth) >= 2 && Boolean(seen) };
    });
    stops.add(stop.key);
    if (!stop.fine) {
      bad += 1;
      walk.found('the focus is seen', stop.html);
    }
    if (bad > 3) break;
  }
  walk.must(stops.size > 40, 'Tab goes round the page', stops.size);
  await page.focus('#tab-look');
  await page.keyboard.press('ArrowRight');
  walk.must((await page.evaluate(() => document.activeElement.id)) === 'tab-rules', 'arrows go between tabs');
  await page.locator('#rule-search').focus();
  await page.keyboard.type(RULE);
  for (let at = 0; at < 6; at += 1) {
    await page.keyboard.press('Tab');
    if (await page.evaluate((rule) => document.activeElement.dataset.path === rule, RULE)) break;
  }
  await walk.asks('/api/change', async () => {
    await page.keyboard.press('Control+a');
    await page.keyboard.type('0.33');
    await page.keyboard.press('Enter');
  });
  walk.must(await page.locator('#done').isVisible(), 'a rule is changed by keyboard');
  walk.must(await page.evaluate((rule) => document.activeElement.dataset.path === rule, RULE), 'the focus stays where it was', await page.evaluate(() => document.activeElement.outerHTML.slice(0, 100)));
  await page.focus('#undo');
  await walk.asks('/api/undo', () => page.keyboard.press('Enter'));
  await walk.undoAll();
}

async function dark(walk) {
  const { page } = walk;
  await walk.chooseFirst();
  await walk.state('dark zone card');
  for (const key of ['rules', 'stock', 'draw', 'check', 'hand-over']) {
    await page.click(`#tab-${key}`);
    await page.waitForTimeout(150);
    await walk.state(`dark ${key}`);
  }
  await page.selectOption('#theme', 'light');
  await page.reload();
  await page.locator('#drawer tbody th button').first().waitFor();
  walk.must((await page.evaluate(() => document.documentElement.dataset.theme)) === 'light', 'the choice of light is kept');
}

async function narrow(walk) {
  const { page } = walk;
  const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  walk.must(over <= 0, 'no wider than the window', over);
  await walk.chooseFirst();
  await walk.state('narrow');
  const after = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  walk.must(after <= 0, 'no wider than the window with a card', after);
}

async function moving(walk) {
  const { page } = walk;
  const [x, y] = await walk.onMap(0.5, 0.5);
  await page.mouse.move(x, y);
  await page.mouse.down();
  await page.evaluate(() => {
    window.frames_ = [];
    const tick = (at) => { window.frames_.push(at); window.ticking = requestAnimationFrame(tick); };
    window.ticking = requestAnimationFrame(tick);
  });
  for (let at = 0; at < 60; at += 1) await page.mouse.move(x - at * 3, y + at * 2);
  const frames = await page.evaluate(() => { cancelAnimationFrame(window.ticking); return window.frames_; });
  await page.mouse.up();
  const gaps = frames.slice(1).map((one, at) => one - frames[at]).sort((a, b) => a - b);
  const zones = await walk.text('#drawer .tools');
  Object.assign(walk.measured, { pan_frames: gaps.length, pan_frame_median_ms: Math.round(gaps[gaps.length >> 1] * 10) / 10, pan_frame_p95_ms: Math.round(gaps[Math.floor(gaps.length * 0.95)] * 10) / 10, pan_zones: zones.match(/of ([\d,]+)/)?.[1] });
  walk.must(gaps[gaps.length >> 1] < 200, 'the map moves with the pointer', gaps[gaps.length >> 1]);
}

/** Journeys in their order. Each begins on a fresh page and leaves the plan as it was. */
export const JOURNEYS = [
  { name: 'look', walk: look },
  { name: 'cover', walk: cover },
  { name: 'trees', walk: trees },
  { name: 'choose by click', walk: chooseByClick },
  { name: 'choose by keyboard', walk: chooseByKeyboard },
  { name: 'change a rule', walk: changeRule },
  { name: 'refused', walk: refused },
  { name: 'draft', walk: draft },
  { name: 'fix a line', walk: fixLine },
  { name: 'back and forth', walk: backAndForth },
  { name: 'draw a break line', walk: drawBreak },
  { name: 'keep clear', walk: keepClear },
  { name: 'tables', walk: tables },
  { name: 'stock', walk: stock },
  { name: 'two plans', walk: twoPlans },
  { name: 'print sheet', walk: printSheet },
  { name: 'hill', walk: hill, draws: true },
  { name: 'no hill', walk: noHill },
  { name: 'cautions', walk: cautions },
  { name: 'hand over', walk: handOver },
  { name: 'keyboard alone', walk: keyboardAlone },
  { name: 'dark', walk: dark, colorScheme: 'dark' },
  { name: 'tablet', walk: narrow, viewport: { width: 1024, height: 768 } },
  { name: 'tablet dark', walk: dark, viewport: { width: 1024, height: 768 }, colorScheme: 'dark' },
  { name: 'made larger by four', walk: narrow, viewport: { width: 320, height: 640 } },
  { name: 'moving the map', walk: moving },
  { name: 'saving', walk: saving },
];
