// Journeys that draw on the map: by pointer, by keyboard, by coordinates.

const pen = (page) => page.getByRole('button', { name: /^(Draw with the pointer|Stop drawing)$/ });

async function drawBreak(walk) {
  const { page } = walk;
  await page.click('#tab-draw');
  const isHeld = async () => (await pen(page).getAttribute('aria-pressed')) === 'true';
  await pen(page).click();
  walk.must(await isHeld(), 'the pen is taken up');
  await page.keyboard.press('Escape');
  walk.must(!(await isHeld()), 'Escape puts the pen down');
  await pen(page).click();
  await page.click('#tab-look');
  await page.click('#tab-draw');
  walk.must(!(await isHeld()), 'leaving the tab puts the pen down');
  await pen(page).click();
  const scale = await walk.text('.readout .scale');
  const [a, b] = [await walk.onMap(0.3, 0.5), await walk.onMap(0.7, 0.45)];
  await page.mouse.click(...a);
  await page.waitForTimeout(400);
  await page.mouse.dblclick(...b);
  await page.waitForTimeout(600);
  const count = await page.locator('.points tbody tr').count();
  walk.must(count >= 2, 'points of the pointer are in the list', count);
  walk.must(!(await isHeld()), 'the end of a drawing puts the pen down');
  walk.must((await walk.text('.readout .scale')) === scale, 'the last click neither zooms', await walk.text('.readout .scale'));
  walk.must(await page.locator('#card').isHidden(), 'nor chooses');
  await page.mouse.click(...(await walk.onMap(0.5, 0.6)));
  await page.waitForTimeout(600);
  walk.must((await page.locator('.points tbody tr').count()) === count, 'a click after it draws no more', await page.locator('.points tbody tr').count());
  await page.getByRole('button', { name: 'Put it on the map' }).click();
  walk.must((await walk.text('#panel-draw .fault')).includes('name'), 'a name is asked for', await walk.text('#panel-draw .fault'));
  await page.getByLabel('Name', { exact: true }).fill('ridge fence');
  await walk.state('line drawn');
  const scene = await walk.asks('/api/change', () => page.getByRole('button', { name: 'Put it on the map' }).click());
  walk.must(scene.drawn?.some((one) => one.name === 'ridge fence' && one.what === 'break'), 'the break line is in the plan', JSON.stringify(scene.problems));
  await walk.state('break line');
  const erase = page.getByRole('button', { name: 'Erase break line ridge fence' });
  await erase.focus();
  await walk.asks('/api/change', () => page.keyboard.press('Enter'));
  walk.must((await erase.count()) === 0, 'it is erased');
  await walk.mustHold('erasing leaves the focus somewhere');
  await walk.undoAll();
}

async function keepClear(walk) {
  const { page } = walk;
  await page.click('#tab-draw');
  await page.locator('#panel-draw').getByLabel('What', { exact: true }).selectOption('keep_clear');
  await page.getByRole('button', { name: 'Point at the middle of the map' }).click();
  const row = () => page.locator('.points tbody tr').last().locator('input');
  const first = page.locator('.points tbody tr').first().locator('input');
  for (const [east, north] of [[120, 0], [120, 120], [0, 120]]) {
    await page.getByRole('button', { name: 'Add a point to type' }).click();
    await walk.type(row().nth(0), Number(await first.nth(0).inputValue()) + east);
    walk.must(await row().nth(1).evaluate((one) => one === document.activeElement), 'Tab goes from easting to northing', await walk.held());
    await walk.type(row().nth(1), Number(await first.nth(1).inputValue()) + north);
  }
  await page.getByRole('button', { name: 'Take out point 4' }).focus();
  await page.keyboard.press('Enter');
  walk.must((await page.locator('.points tbody tr').count()) === 3, 'a point is taken out');
  await walk.mustHold('taking a point out leaves the focus somewhere');
  await page.getByLabel('Name', { exact: true }).fill('old hut');
  await page.getByLabel('Reason').fill('ask before digging');
  const distance = page.getByLabel('Distance kept clear');
  let asked = 0;
  page.on('request', (one) => { asked += one.url().includes('/api/change') ? 1 : 0; });
  await distance.focus();
  await page.keyboard.press('Control+a');
  await page.keyboard.type('1e');
  await page.getByRole('button', { name: 'Put it on the map' }).click();
  await page.waitForTimeout(300);
  walk.must(asked === 0 && (await distance.getAttribute('aria-invalid')) === 'true', 'a distance that is no number is not sent', asked);
  walk.must(/distance is a number/.test(await walk.text('#panel-draw .fault')), 'and that is said in sight', await walk.text('#panel-draw .fault'));
  await walk.state('no distance');
  await distance.fill('10');
  const scene = await walk.asks('/api/change', () => page.getByRole('button', { name: 'Put it on the map' }).click());
  walk.must(scene.drawn?.some((one) => one.name === 'old hut' && one.what === 'keep_clear'), 'the keep-clear area is in the plan', JSON.stringify(scene.problems));
  await walk.state('keep clear');
  await walk.undoAll();
}

export const DRAWING = [
  { name: 'draw a break line', walk: drawBreak },
  { name: 'keep clear', walk: keepClear },
];
