// Journeys that look and change nothing: the map, cover and trees, tables, cautions.

const numberIn = (words) => Number(words.replace(/[^0-9.\-−]/g, '').replace('−', '-'));

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

async function ground(walk) {
  const { page } = walk;
  const pictures = [];
  page.on('request', (asked) => { if (asked.url().includes('/api/raster/')) pictures.push(asked.url()); });
  await page.click('#tab-look');
  await page.locator('#panel-look select').first().selectOption('slope_deg');
  await walk.painted();
  const before = pictures.at(-1) ?? '';
  await walk.asks('/api/change', async () => walk.type(await walk.rule('ground.horizon_m'), 15));
  await page.waitForTimeout(800);
  walk.must(pictures.at(-1) !== before && pictures.at(-1).includes('/slope_deg.png'), 'ground that was made anew is read anew', `${before} ${pictures.at(-1)}`);
  await page.click('#tab-look');
  walk.must((await page.locator('#panel-look select').first().inputValue()) === 'slope_deg', 'the picture that was chosen stays', await page.locator('#panel-look select').first().inputValue());
  await walk.undoAll();
}

async function cover(walk) {
  const { page } = walk;
  const told = () => walk.text('#panel-look [role=status]');
  await page.getByRole('button', { name: 'Show cover by year' }).click();
  await page.getByRole('slider', { name: 'Year' }).waitFor();
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
  await walk.mustHold('hiding the cover leaves the focus somewhere');
  await page.getByRole('button', { name: 'Show cover by year' }).click();
  await page.getByRole('slider', { name: 'Year' }).waitFor();
  await walk.asks('/api/change', async () => walk.type(await walk.rule('density.usual_sph'), 1600));
  await page.click('#tab-look');
  walk.must((await page.getByRole('slider', { name: 'Year' }).count()) === 0 && /plan has changed/.test(await walk.text('#panel-look')), 'cover of an earlier plan is put away', await walk.text('#panel-look'));
  walk.must((await walk.rows()).length === 0, 'and its pieces too', (await walk.rows()).length);
  // Cover that was asked for before a change and comes after it.
  const end = await walk.slow('/api/cover', 2_500);
  const answered = page.waitForResponse((answer) => new URL(answer.url()).pathname === '/api/cover');
  await page.getByRole('button', { name: 'Show cover by year' }).click();
  await page.waitForTimeout(200);
  await page.evaluate(() => document.getElementById('undo').click());
  await answered;
  await page.waitForTimeout(500);
  await end();
  walk.must((await page.getByRole('slider', { name: 'Year' }).count()) === 0, 'cover that comes too late is not shown', await walk.text('#panel-look'));
  await walk.undoAll();
}

async function trees(walk) {
  const { page } = walk;
  const draw = async () => {
    await page.click('#tab-look');
    await page.getByRole('button', { name: 'Draw the places' }).click();
    await page.getByRole('button', { name: 'Hide the places' }).waitFor();
  };
  await draw();
  await page.click('#tab-trees');
  const names = await walk.rows();
  walk.must(names.length >= 30, 'a place a row', names.length);
  await page.locator('#panel-trees tbody th button').first().click();
  await page.locator('#card dl').waitFor();
  walk.must((await walk.text('#card')).includes('mother tree'), 'a place is told', await walk.text('#card'));
  await walk.painted();
  await walk.state('trees to sample');
  await page.getByRole('button', { name: 'Hide the places' }).click();
  await walk.mustHold('hiding the places leaves the focus somewhere');
  walk.must((await walk.rows()).length === 0, 'hidden places are in no table', (await walk.rows()).length);
  await draw();
  await walk.asks('/api/change', async () => walk.type(await walk.rule('seed.apart_m'), 35));
  await page.waitForTimeout(300);
  walk.must((await walk.rows()).length === 0, 'places of an earlier rule are put away', (await walk.rows()).length);
  walk.must(/draw the places again/.test(await walk.text('#told')), 'and that is said', await walk.text('#told'));
  await walk.undoAll();
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

async function check(walk) {
  const { page } = walk;
  await page.click('#tab-check');
  const rows = await page.locator('#panel-check tbody tr').evaluateAll((all) => all.map((row) => [...row.children].map((cell) => cell.textContent)));
  const { totals } = await walk.scene();
  const said = (words) => rows.filter(([name]) => name === words).map(([, value]) => numberIn(value));
  walk.must(new Set(rows.map((row) => row.join())).size === rows.length, 'no figure is told twice', JSON.stringify(rows));
  for (const [words, key] of [['No line stands on', 'left_plan_ha'], ['Of that open, left to regenerate', 'left_open_plan_ha'], ['Plants into the ground', 'seedlings'], ['Plants and planting, where they have a price', 'cost_nzd']]) {
    walk.must(said(words).some((value) => Math.abs(value - totals[key]) <= 0.06 + totals[key] * 1e-3), 'a total is what its key means', `${words}: ${said(words)} / ${totals[key]}`);
  }
  await walk.state('check');
}

async function cautions(walk) {
  const { page } = walk;
  const count = numberIn(await walk.text('#cautions-open'));
  await page.click('#cautions-open');
  walk.must((await page.locator('#cautions section').count()) === count && count > 0, 'every caution is told', count);
  const told = (await walk.scene()).cautions;
  walk.must(count === told.length, 'as many cautions are told as the plan has', `${count} of ${told.length}`);
  walk.must(/licensed people/.test(await walk.text('#cautions')), 'who decides is said');
  await walk.state('cautions');
  await page.keyboard.press('Escape');
  walk.must(await page.evaluate(() => document.activeElement.id === 'cautions-open'), 'the focus comes back');
  await page.click('#cautions-open');
  await page.getByRole('button', { name: /^Outline them on the map/ }).first().click();
  walk.must(await page.locator('#cautions').isHidden(), 'zones of a caution are outlined on the map');
}

export const LOOKING = [
  { name: 'look', walk: look },
  { name: 'ground', walk: ground },
  { name: 'cover', walk: cover },
  { name: 'trees', walk: trees },
  { name: 'choose by click', walk: chooseByClick },
  { name: 'choose by keyboard', walk: chooseByKeyboard },
  { name: 'tables', walk: tables },
  { name: 'check', walk: check },
  { name: 'cautions', walk: cautions },
];
