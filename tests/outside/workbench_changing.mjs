// Journeys that change rules, stock and choices: what is answered, what is refused, what is kept while it is typed.

const RULE = 'mosaic.min_share';
const DENSITY = 'density.usual_sph'; // moves every figure
const CHANGED = '#8B4137'; // of the dashes around zones that changed
const numberIn = (words) => Number(words.replace(/[^0-9.\-−]/g, '').replace('−', '-'));

/** Before, after and difference of each figure that a change moved. */
const figures = (page) => page.locator('#done li:not(.same)').allInnerTexts().then((all) => all.map((words) => {
  const [, before, after, gap] = words.match(/: ([\d,.]+) → ([\d,.]+).*\(([+−±][\d,.]+)/) ?? [];
  return { words, before: numberIn(before ?? ''), after: numberIn(after ?? ''), gap: numberIn((gap ?? '').replace(/[+±]/, '')) };
}));

/** Changes that the page sends from now on. */
function sent(page) {
  const all = [];
  page.on('request', (asked) => { if (asked.url().includes('/api/change')) all.push(asked.postData()); });
  return all;
}

async function changeRule(walk) {
  const { page } = walk;
  const field = await walk.rule(RULE);
  const was = await field.inputValue();
  walk.must((await page.locator('.rule', { has: field }).locator('label').innerText()).startsWith('Min share'), 'a rule has a plain name', await page.locator('.rule', { has: field }).innerText());
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
  walk.must(await walk.isOn('#undo'), 'it can be undone');
  walk.must(/Not saved: site/.test(await walk.text('#kept')), 'the file not saved is named', await walk.text('#kept'));
  await walk.state('rule changed');
  walk.must((await walk.paints(CHANGED)) > 20, 'zones that changed are outlined', await walk.paints(CHANGED));
  await page.getByRole('button', { name: 'Close what the change did' }).click();
  await walk.painted();
  walk.must((await walk.paints(CHANGED)) === 0, 'closing takes the dashes off the map', await walk.paints(CHANGED));
  await walk.rule(RULE);
  await walk.asks('/api/change', () => page.getByRole('button', { name: 'Back to default: min share' }).click());
  walk.must((await (await walk.rule(RULE)).inputValue()) === '', 'the default is an empty field');
  await walk.undoAll();
  walk.must((await (await walk.rule(RULE)).inputValue()) === was, 'undo brings the value back', was);
}

/** A hand that is faster than the program. */
async function quickHand(walk) {
  const { page } = walk;
  await walk.chooseFirst();
  const zone = (await walk.text('#card h2')).replace('Zone ', '');
  const select = page.locator('#card select').first();
  const lines = (await select.locator('option').evaluateAll((all) => all.map((one) => one.value))).filter(Boolean);
  const end = await walk.slow('/api/change', 700);
  const changes = sent(page);
  await select.selectOption(lines[0]);
  await page.locator(`#forbid-${lines[1]}`).check();
  await page.locator(`#forbid-${lines[2]}`).check();
  await page.locator('#card [data-keep=density]').fill('1234');
  await page.locator('#card [data-keep=note]').fill('by the old fence');
  await page.locator('#card [data-keep=note]').press('Tab');
  for (let at = 0; at < 80 && changes.length < 5; at += 1) await page.waitForTimeout(100);
  await walk.painted();
  await end();
  await page.waitForTimeout(500);
  const told = (await walk.scene()).choices.find((one) => one.zone_id === zone) ?? {};
  const is = JSON.stringify({ ...told, forbid: [...(told.forbid ?? [])].sort() });
  const wanted = { line: lines[0], forbid: [lines[1], lines[2]].sort().join(), density_sph: 1234, note: 'by the old fence' };
  walk.must(Object.entries(wanted).every(([key, value]) => (key === 'forbid' ? [...(told.forbid ?? [])].sort().join() : told[key]) === value), 'choices made quickly are all kept', is);
  walk.must((await select.inputValue()) === lines[0] && (await page.locator('#card [data-keep=note]').inputValue()) === wanted.note, 'and the card shows them');
  await walk.undoAll();
}

async function typing(walk) {
  const { page } = walk;
  const [first, second] = [await walk.rule(RULE), page.locator(`[data-path="${DENSITY}"]`)];
  await page.fill('#rule-search', '');
  await page.locator('#panel-rules details').evaluateAll((all) => all.forEach((one) => { one.open = true; }));
  const end = await walk.slow('/api/change', 1_200);
  const answered = page.waitForResponse((answer) => answer.url().includes('/api/change'));
  await walk.type(first, 0.37);
  await second.focus();
  await page.keyboard.press('Control+a');
  await page.keyboard.type('17');
  await answered;
  await walk.painted();
  await end();
  walk.must((await second.inputValue()) === '17', 'what is being typed stays', await second.inputValue());
  walk.must(await second.evaluate((one) => one === document.activeElement), 'and keeps the focus', await walk.held());
  await page.keyboard.type('00');
  const scene = await walk.asks('/api/change', () => page.keyboard.press('Enter'));
  walk.must(scene.change?.words.includes('1700'), 'and is sent whole', scene.change?.words);
  walk.must((await first.inputValue()) === '0.37', 'the change before it is shown', await first.inputValue());
  await walk.undoAll();
}

async function refused(walk) {
  const { page } = walk;
  walk.pardoned.push('/api/change');
  const field = await walk.rule(RULE);
  const box = page.locator('.rule', { has: field });
  const was = await field.inputValue();
  const { problems: [problem] } = await walk.asks('/api/change', () => walk.type(field, 7));
  const words = await walk.text('#notice');
  walk.must(['Found', 'Expected', 'Remedy'].every((one) => words.includes(one)), 'a refusal says what was found, expected and the remedy', words);
  walk.must(words.includes(`line ${problem.place?.[0]}, column ${problem.place?.[1]}`), 'a refusal has its place in the file', words);
  walk.must((await field.getAttribute('aria-invalid')) === 'true' && (await field.inputValue()) === '7', 'what was refused is marked', await field.inputValue());
  const beside = await box.locator('.fault').innerText();
  const about = await field.getAttribute('aria-describedby');
  walk.must(beside.includes(problem.expected) && beside.includes(`still ${was}`), 'what is wrong and what holds stand beside the field', beside);
  walk.must(about.includes(await box.locator('.fault').getAttribute('id')), 'and are tied to it', about);
  await walk.state('refused');
  await page.getByRole('button', { name: 'Close the refusal' }).click();
  await walk.mustHold('closing a refusal leaves the focus somewhere');
  await walk.asks('/api/change', () => walk.type(field, 0.35));
  await page.waitForTimeout(300);
  walk.must((await field.getAttribute('aria-invalid')) === null && await box.locator('.fault').isHidden(), 'a field put right is not marked any more', await box.innerText());
  await walk.asks('/api/change', () => walk.type(field, 9));
  const changes = sent(page);
  await box.getByRole('button', { name: 'Put 0.35 back' }).click();
  await page.waitForTimeout(300);
  walk.must((await field.inputValue()) === '0.35' && (await field.getAttribute('aria-invalid')) === null && changes.length === 0, 'what holds can be put back', `${await field.inputValue()} ${changes}`);
  await walk.undoAll();
}

/** Junk in fields of numbers: it is said in sight, and nothing is sent. */
async function junk(walk) {
  const { page } = walk;
  await walk.chooseFirst();
  const density = page.locator('#card [data-keep=density]');
  await walk.asks('/api/change', () => walk.type(density, 1300));
  await page.click('#tab-stock');
  await page.locator('#panel-stock summary').first().click();
  await page.locator('#panel-stock details details summary').first().click();
  await page.click('#tab-draw');
  await page.locator('#panel-draw').getByLabel('What', { exact: true }).selectOption('keep_clear');
  const fields = [
    ['the density of a zone', null, density],
    ['a supply', '#tab-stock', page.locator('#panel-stock input[data-keep$=supply]').first()],
    ['a corner of a tolerance', '#tab-stock', page.locator('#panel-stock details[open] details[open] input').first()],
    ['a rule', '#tab-rules', page.locator(`[data-path="${RULE}"]`)],
  ];
  const changes = sent(page);
  for (const [what, tab, field] of fields) {
    if (tab) await page.click(tab);
    await field.focus();
    await page.keyboard.press('Control+a');
    await page.keyboard.type('1e'); // the beginning of a number, and none yet
    await page.keyboard.press('Tab');
    await page.waitForTimeout(300);
    const about = (await field.getAttribute('aria-describedby') ?? '').split(' ').at(-1);
    walk.must(changes.length === 0, 'junk is not sent', `${what}: ${changes}`);
    walk.must((await field.getAttribute('aria-invalid')) === 'true' && await page.locator(`#${about}.fault`).isVisible() && /not a number/.test(await page.locator(`#${about}`).innerText()), 'junk is said in sight beside its field', what);
  }
  await walk.state('junk');
  walk.must((await walk.scene()).choices[0]?.density_sph === 1300, 'the density before it holds');
  await page.locator('#card .fault').getByRole('button', { name: 'Put 1300 back' }).click();
  walk.must((await density.inputValue()) === '1300' && (await density.getAttribute('aria-invalid')) === null, 'what holds can be put back', await density.inputValue());
  await walk.undoAll();
}

async function draft(walk) {
  const { page } = walk;
  const field = await walk.rule('mosaic.weeks_in_flower');
  const scene = await walk.asks('/api/change', () => walk.type(field, 50));
  walk.must(scene.stale === true, 'so many weeks in flower no plan can have', JSON.stringify(scene.problems));
  const words = await walk.text('#notice');
  walk.must(words.includes('last plan that could be made'), 'a map that is behind says so', words);
  const [problem] = scene.problems;
  walk.must([problem.item, problem.found, problem.remedy].every((one) => words.includes(one)), 'the problem is told with its remedy', words);
  walk.must(/no plan can be made/.test(await walk.text('#done')) && !/No zone changed/.test(await walk.text('#done')), 'a step without a plan is not told as done', await walk.text('#done'));
  walk.must(/no plan can be made/.test(await walk.text('#told')), 'and not heard as done', await walk.text('#told'));
  await walk.state('draft');
  await page.click('#tab-hand-over');
  walk.must(/no plan/.test(await walk.text('#panel-hand-over')), 'nothing is handed over of it', await walk.text('#panel-hand-over'));
  await page.reload();
  await page.locator('#drawer tbody th button').first().waitFor();
  walk.must((await walk.text('#notice')).includes('last plan that could be made'), 'also when the page is loaded again', await walk.text('#notice'));
  await walk.undoAll();
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

/** A card of zones that another hand has drawn anew. */
async function staleCard(walk) {
  const { page } = walk;
  walk.pardoned.push('/api/change');
  await walk.chooseFirst();
  const select = page.locator('#card select').first();
  const line = await select.locator('option').nth(1).getAttribute('value');
  await page.evaluate(async (change) => {
    const headers = { 'content-type': 'application/json', 'x-hillweave-word': localStorage.getItem('hillweave-word') };
    await fetch('/api/change', { method: 'POST', headers, body: JSON.stringify(change) });
  }, { rule: { path: 'zones.min_area_ha', value: 3 } });
  const { problems } = await walk.asks('/api/change', () => select.selectOption(line));
  walk.must(problems?.length > 0, 'a choice for zones drawn anew is refused', JSON.stringify(problems));
  await page.waitForTimeout(500);
  const { zones, choices } = await walk.scene();
  walk.must((await walk.text('#drawer .tools')).includes(`of ${zones.rows.length}`), 'after the refusal the page has the plan of now', `${await walk.text('#drawer .tools')} / ${zones.rows.length}`);
  walk.must(choices.length === 0 && (await select.inputValue()) === '', 'and its card too', await select.inputValue());
  walk.must(/drawn anew/.test(await walk.text('#notice')), 'and the refusal is still told', await walk.text('#notice'));
  const scene = await walk.asks('/api/change', () => select.selectOption(line));
  walk.must(scene.choices?.[0]?.line === line, 'then the choice can be made', JSON.stringify(scene.problems));
  await walk.undoAll();
}

async function backAndForth(walk) {
  const { page } = walk;
  const total = async () => {
    await page.click('#tab-check');
    return page.locator('#panel-check tr', { hasText: 'Plants into the ground' }).innerText();
  };
  const first = await total();
  for (const value of [0.3, 0.35]) await walk.asks('/api/change', async () => walk.type(await walk.rule(RULE), value));
  const last = await total();
  await page.focus('#map');
  for (let at = 0; at < 2; at += 1) await walk.asks('/api/undo', () => page.keyboard.press('Control+z'));
  walk.must((await total()) === first, 'all undone is as at first', `${first} / ${await total()}`);
  walk.must(!(await walk.isOn('#undo')), 'nothing more to undo');
  await page.focus('#map');
  await walk.asks('/api/redo', () => page.keyboard.press('Control+y'));
  await walk.asks('/api/redo', () => page.keyboard.press('Control+Shift+Z'));
  walk.must((await total()) === last, 'all redone is as at last', `${last} / ${await total()}`);
  await walk.undoAll();
}

async function stock(walk) {
  const { page } = walk;
  await page.route('**/api/stock', async (route) => {
    const answer = await route.fetch();
    const told = await answer.json();
    told.lines[1].supply_by_winter = true; // no line of the sample has its supply told so
    told.lines[1].supply = 4321;
    await route.fulfill({ response: answer, json: told });
  });
  await page.reload();
  await page.locator('#drawer tbody th button').first().waitFor();
  await page.click('#tab-stock');
  await page.locator('#panel-stock summary').first().click();
  const supply = page.locator('#panel-stock input[data-keep$=supply]').first();
  const was = await supply.inputValue();
  const scene = await walk.asks('/api/change', () => walk.type(supply, 5000));
  walk.must(scene.lines?.some((one) => one.supply === 5000), 'supply is what was typed', JSON.stringify(scene.problems));
  walk.must(scene.change?.figures.length > 0, 'supply changes the plan', JSON.stringify(scene.problems));
  await page.locator('#panel-stock details details summary').first().click();
  const corner = page.locator('#panel-stock details[open] details[open] input').nth(3);
  const drawn = page.locator('#panel-stock details[open] details[open] svg').first();
  const before = await drawn.getAttribute('aria-label');
  await walk.asks('/api/change', async () => walk.type(corner, Number(await corner.inputValue() || 900) + 25));
  await page.waitForTimeout(500);
  walk.must((await drawn.getAttribute('aria-label')) !== before, 'the drawing of the tolerance follows', before);
  await walk.state('stock');
  await page.locator('#panel-stock > div > details').nth(1).locator('summary').first().click();
  const byWinter = page.locator('#panel-stock > div > details').nth(1).locator('input').first();
  walk.must(await byWinter.isDisabled() && (await byWinter.inputValue()) === '4321', 'a supply by winter is shown and not changed', await byWinter.inputValue());
  await walk.state('supply by winter');
  await walk.undoAll();
  await page.waitForTimeout(500);
  walk.must((await supply.inputValue()) === was, 'undo brings the supply back', was);
}

export const CHANGING = [
  { name: 'change a rule', walk: changeRule },
  { name: 'quick hand', walk: quickHand },
  { name: 'typing', walk: typing },
  { name: 'refused', walk: refused },
  { name: 'junk', walk: junk },
  { name: 'draft', walk: draft },
  { name: 'fix a line', walk: fixLine },
  { name: 'stale card', walk: staleCard },
  { name: 'back and forth', walk: backAndForth },
  { name: 'stock', walk: stock },
];
