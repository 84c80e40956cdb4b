// Journeys of those who have no mouse, a small window, a dark room, or a hurry.

const RULE = 'mosaic.min_share';

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
  for (const value of ['0.33', '0.34']) {
    // The second time the rule is set, and its button stands where Tab goes.
    await page.locator(`[data-path="${RULE}"]`).focus();
    await walk.asks('/api/change', async () => {
      await page.keyboard.press('Control+a');
      await page.keyboard.type(value);
      await page.keyboard.press('Tab');
    });
    await page.waitForTimeout(300);
    await walk.mustHold('Tab after a value goes on');
  }
  walk.must(await page.locator('#done').isVisible(), 'a rule is changed by keyboard');
  const reset = page.getByRole('button', { name: 'Back to default: min share' });
  await reset.focus();
  await walk.asks('/api/change', () => page.keyboard.press('Enter'));
  await page.waitForTimeout(300);
  walk.must(await page.evaluate((rule) => document.activeElement.dataset.path === rule, RULE), 'back to default leaves the focus in the field', await walk.held());
  await page.getByRole('button', { name: 'Close what the change did' }).focus();
  await page.keyboard.press('Enter');
  await walk.mustHold('closing what the change did leaves the focus somewhere');
  await page.focus('#undo');
  while (await walk.isOn('#undo')) await walk.asks('/api/undo', () => page.keyboard.press('Enter'));
  walk.must(await page.evaluate(() => document.activeElement.id === 'undo'), 'the last undo keeps the focus', await walk.held());
  await walk.chooseFirst();
  const barred = page.locator('#card input[type=checkbox]').first();
  await barred.focus();
  await walk.asks('/api/change', () => page.keyboard.press('Space'));
  await page.getByRole('button', { name: 'Leave all to the plan' }).focus();
  await walk.asks('/api/change', () => page.keyboard.press('Enter'));
  await page.waitForTimeout(300);
  await walk.mustHold('leaving all to the plan keeps the focus');
  await page.locator('#drawer tr.chosen button').focus();
  await walk.asks('/api/undo', () => page.keyboard.press('Control+z'));
  await page.waitForTimeout(300);
  await walk.mustHold('a step keeps the focus in the table');
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
  walk.must((await page.evaluate(() => document.documentElement.dataset.theme)) === 'light', 'the choice of light is kept for this address');
}

/** Rooms in the order of the document, with their boxes; a room to the right stands after one to the left. */
function rooms(walk) {
  return walk.page.evaluate(() => [...document.getElementById('rooms').children].filter((one) => one.getClientRects().length > 0).map((one) => {
    const { left, top, right, bottom } = one.getBoundingClientRect();
    return { id: one.id, left, top, right, bottom };
  }));
}

async function narrow(walk) {
  const { page } = walk;
  const over = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  walk.must(over <= 0, 'no wider than the window', over);
  await page.focus('#map');
  await page.keyboard.press('n');
  await page.locator('#card select').waitFor();
  await walk.painted();
  const order = await rooms(walk);
  walk.must(order.every((one, at) => at === 0 || order[at - 1].bottom <= one.top + 1 || order[at - 1].right <= one.left + 1), 'rooms are seen in the order of the document', JSON.stringify(order.map((one) => [one.id, Math.round(one.left), Math.round(one.top)])));
  const head = await page.locator('#card h2').boundingBox();
  const { height } = page.viewportSize();
  walk.must(head.y >= 0 && head.y + head.height <= height, 'the card of what is chosen comes into sight', `${head.y} of ${height}`);
  if (order[0].id === 'stage') walk.must(/card is below/.test(await walk.text('#told')), 'and that is said', await walk.text('#told'));
  await walk.state('narrow');
  const after = await page.evaluate(() => document.documentElement.scrollWidth - window.innerWidth);
  walk.must(after <= 0, 'no wider than the window with a card', after);
}

/** The map beside a card and what a change did. */
async function room(walk) {
  const { page } = walk;
  await walk.chooseFirst();
  await walk.asks('/api/change', async () => walk.type(await walk.rule('density.usual_sph'), 1500));
  await walk.painted();
  const { width, height } = await page.locator('#map').boundingBox();
  const least = page.viewportSize().width >= 1280 ? [620, 420] : [600, 300];
  Object.assign(walk.measured, { [`map_at_${page.viewportSize().width}`]: `${Math.round(width)} × ${Math.round(height)}` });
  walk.must(await page.locator('#card').isVisible() && await page.locator('#done').isVisible(), 'card and change are open');
  walk.must(width >= least[0] && height >= least[1], 'the map keeps its room', `${width} × ${height}`);
  await walk.state('card and change');
  await walk.undoAll();
}

async function moving(walk) {
  const { page } = walk;
  const [x, y] = await walk.onMap(0.5, 0.5);
  const middle = async () => {
    await page.mouse.move(5, 5);
    await walk.painted();
    return walk.text('.readout > span');
  };
  const place = await middle();
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
  walk.must((await middle()) !== place, 'a pull of the pointer moves the map', place);
  const gaps = frames.slice(1).map((one, at) => one - frames[at]).sort((a, b) => a - b);
  const zones = await walk.text('#drawer .tools');
  Object.assign(walk.measured, { pan_frames: gaps.length, pan_frame_median_ms: Math.round(gaps[gaps.length >> 1] * 10) / 10, pan_frame_p95_ms: Math.round(gaps[Math.floor(gaps.length * 0.95)] * 10) / 10, pan_zones: zones.match(/of ([\d,]+)/)?.[1] });
  walk.must(gaps[gaps.length >> 1] < 200, 'the map moves with the pointer', gaps[gaps.length >> 1]);
}


export const REACH = [
  { name: 'keyboard alone', walk: keyboardAlone },
  { name: 'dark', walk: dark, colorScheme: 'dark' },
  { name: 'room for the map', walk: room },
  { name: 'room on a tablet', walk: room, viewport: { width: 1024, height: 768 } },
  { name: 'tablet', walk: narrow, viewport: { width: 1024, height: 768 } },
  { name: 'tablet dark', walk: dark, viewport: { width: 1024, height: 768 }, colorScheme: 'dark' },
  { name: 'made larger by four', walk: narrow, viewport: { width: 320, height: 640 } },
  { name: 'made larger, dark', walk: dark, viewport: { width: 320, height: 640 }, colorScheme: 'dark' },
  { name: 'moving the map', walk: moving },
];
