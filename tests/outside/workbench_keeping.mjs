// Journeys that write files: saving, and what is handed over.

const RULE = 'mosaic.min_share';

async function saving(walk) {
  const { page } = walk;
  const was = await (await walk.rule(RULE)).inputValue();
  await walk.asks('/api/change', async () => walk.type(await walk.rule(RULE), 0.25));
  const asked = page.waitForEvent('dialog');
  await page.close({ runBeforeUnload: true });
  const dialog = await asked;
  walk.must(dialog.type() === 'beforeunload', 'leaving without saving is warned of', dialog.type());
  await dialog.dismiss();
  await page.getByRole('button', { name: 'Close what the change did' }).click();
  await page.focus('#map');
  const { saved } = await walk.asks('/api/save', () => page.keyboard.press('Control+s'));
  walk.must(saved.length > 0 && /^Saved at \d\d:\d\d: site.toml/.test(await walk.text('#kept')), 'saving is seen', await walk.text('#kept'));
  walk.must(/Saved: site.toml/.test(await walk.text('#told')), 'saving is heard', await walk.text('#told'));
  walk.must(await page.locator('#done').isHidden(), 'saving opens nothing that was closed');
  await walk.state('saved');
  await page.reload();
  await page.locator('#drawer tbody th button').first().waitFor();
  walk.must(await page.locator('#done').isHidden(), 'loading the page again opens nothing that was closed');
  // What is being typed is saved too.
  const field = await walk.rule(RULE);
  await field.fill('0.3');
  const whole = await walk.asks('/api/save', () => page.keyboard.press('Control+s'));
  walk.must(whole.saved.includes('site.toml') && (await walk.scene()).unsaved.length === 0, 'what is being typed is saved too', JSON.stringify(whole.saved));
  walk.must((await field.inputValue()) === '0.3' && await field.evaluate((one) => one === document.activeElement), 'and the field keeps it', await field.inputValue());
  await walk.asks('/api/change', async () => walk.type(await walk.rule(RULE), was));
  await page.focus('#save');
  await walk.asks('/api/save', () => page.keyboard.press('Enter'));
  walk.must(!(await walk.isOn('#save')), 'saved as it was');
  walk.must(await page.evaluate(() => document.activeElement.id === 'save'), 'saving keeps the focus', await walk.held());
}

async function handOver(walk) {
  const { page } = walk;
  const was = await (await walk.rule(RULE)).inputValue();
  await page.click('#tab-hand-over');
  // 21:00 of the first of March by UTC is ten in the morning of the second in New Zealand (UTC+13, daylight time).
  walk.must((await page.getByLabel('Date on the report').inputValue()) === '2027-03-02', 'today is the day of this place', await page.getByLabel('Date on the report').inputValue());
  await walk.asks('/api/change', async () => walk.type(await walk.rule(RULE), 0.25));
  await page.click('#tab-hand-over');
  walk.must(/save first/.test(await walk.text('#panel-hand-over')), 'what is not saved is not handed over, and that is said', await walk.text('#panel-hand-over'));
  await walk.state('not saved');
  const report = await walk.asks('/api/report', () => page.getByRole('button', { name: 'Save and make the report' }).click());
  walk.must(report.files?.length > 0, 'the report is made', JSON.stringify(report.problems));
  walk.must((await walk.scene()).unsaved.length === 0, 'of saved files');
  await page.locator('#panel-hand-over .files a').first().waitFor();
  await walk.asks('/api/change', async () => walk.type(await walk.rule(RULE), was));
  await walk.asks('/api/save', () => page.click('#save'));
  await page.click('#tab-hand-over');
  const written = await walk.asks('/api/export', () => page.getByRole('button', { name: 'Write the files' }).click());
  walk.must(written.files?.length > 0, 'files for others are written', JSON.stringify(written.problems));
  const links = await page.locator('#panel-hand-over .files a[download]').evaluateAll((all) => all.map((one) => one.href));
  walk.must(links.length === report.files?.length + written.files?.length && links.every((one) => one.startsWith(new URL(page.url()).origin)), 'every file can be fetched from here', links[0]);
  await walk.state('handed over');
}

export const KEEPING = [
  { name: 'hand over', walk: handOver, timezoneId: 'Pacific/Auckland', now: '2027-03-01T21:00:00Z' },
  { name: 'saving', walk: saving },
];
