// Faults that are put into the page of the workbench on purpose, and the finding that each must draw: one or more for every
// journey.

/** Answers the file that ends in `name` with `change` made to it. */
const file = (name, change) => (context) => context.route((url) => url.pathname.endsWith(name), async (route) => {
  const answer = await route.fetch();
  const was = await answer.text();
  const is = change(was);
  if (is === was) throw new Error(`${name} has no place for the fault`);
  await route.fulfill({ response: answer, body: is });
});

/** Puts `is` into the file that ends in `name`, everywhere in the place of `was`. */
const swap = (name, was, is) => file(name, (text) => text.replaceAll(was, is));

const page = (change) => (context, origin) => context.route((url) => url.origin === origin && (url.pathname === '/' || url.pathname.endsWith('.html')), async (route) => {
  const answer = await route.fetch({ maxRedirects: 5 });
  const was = await answer.text();
  // Without its policy of content, which would keep some faults from happening.
  const { 'content-security-policy': policy, ...headers } = answer.headers();
  await route.fulfill({ response: answer, headers, body: change(was) });
});

const refusal = { problems: [{ severity: 'error', item: 'plan', found: 'nothing', expected: 'a plan', remedy: 'none' }] };

const LOOKING = [
  { name: 'a label is missing', journey: 'look', check: 'axe select-name', spoil: page((html) => html.replace('<label for="theme">Light</label>', '')) },
  { name: 'letters too pale', journey: 'look', check: 'axe color-contrast', spoil: file('css/paper.css', (css) => css.replace(/--quiet: light-dark\([^)]*\)/, '--quiet: light-dark(#b9b2a6, #555)')) },
  { name: 'the plan is refused', journey: 'look', check: 'a step that could not be done', spoil: (context) => context.route('**/api/scene*', (route) => route.fulfill({ status: 500, json: refusal })) },
  { name: 'a picture from elsewhere', journey: 'look', check: 'request elsewhere', spoil: page((html) => html.replace('<dialog', '<img alt="" src="https://example.invalid/a.png"><dialog')) },
  { name: 'an error on the console', journey: 'look', check: 'error on the console', spoil: file('js/main.js', (js) => `console.error('a fault');\n${js}`) },
  { name: 'a map that draws nothing', journey: 'look', check: 'the map is drawn', spoil: swap('js/map/layers.js', 'refill(layers.mosaic, zones);', 'refill(layers.mosaic, []);') },
  { name: 'ground that stays as it was', journey: 'ground', check: 'ground that was made anew', spoil: swap('js/property.js', 'if (ground === of) return;', 'if (of !== null) return;') },
  { name: 'cover of an earlier plan', journey: 'cover', check: 'cover of an earlier plan is put away', spoil: swap('js/panels/look_cover.js', 'if (!state.cover || revision === of) return;', 'return;') },
  { name: 'cover that comes too late', journey: 'cover', check: 'cover that comes too late', spoil: swap('js/panels/look_cover.js', 'if (of === state.scene.revision) set', 'if (of) set') },
  { name: 'places of an earlier rule', journey: 'trees', check: 'places of an earlier rule are put away', spoil: swap('js/panels/look_trees.js', 'if (!state.trees || revision === of) return;', 'return;') },
  { name: 'a table that marks no row', journey: 'choose by click', check: 'a step that could not be done', spoil: swap('js/table/sheet.js', "class: is ? 'chosen' : null", 'class: null') },
  { name: 'keys that the map does not hear', journey: 'choose by keyboard', check: 'a step that could not be done', spoil: swap('js/map/main_map.js', 'n: 1, N: 1,', '') },
  { name: 'a table that sorts wrongly', journey: 'tables', check: 'rows are sorted', spoil: swap('js/table/sheet.js', '? a - b :', '? b - a :') },
  { name: 'a total under another name', journey: 'check', check: 'a total is what its key means', spoil: swap('js/totals.js', "['left_plan_ha', 'No", "['left_open_plan_ha', 'No") },
  { name: 'a caution that is not told', journey: 'cautions', check: 'every caution is told', spoil: swap('js/cautions.js', '...state.scene.cautions.map', '...state.scene.cautions.slice(1).map') },
];

const CHANGING = [
  { name: 'differences of the wrong sign', journey: 'change a rule', check: 'the difference is after less before', spoil: swap('js/words.js', 'after - before', 'before - after') },
  { name: 'dashes that stay', journey: 'change a rule', check: 'closing takes the dashes off the map', spoil: swap('js/map/main_map.js', 'did?.zones_changed ?? []', 'did?.zones_changed ?? state.scene.change.zones_changed') },
  { name: 'ticks made of what was shown before', journey: 'quick hand', check: 'choices made quickly are all kept', spoil: swap('js/zone_choices.js', 'const now = chosen(scene, zone);', 'const now = { ...chosen(scene, zone), forbid: [] };') },
  { name: 'typing that is wiped', journey: 'typing', check: 'what is being typed stays', spoil: swap('js/entry.js', 'if (isFree) fill(held);', 'fill(held);') },
  { name: 'a problem without its place', journey: 'refused', check: 'a refusal has its place in the file', spoil: swap('js/problems.js', 'place ? `, line', 'false ? `, line') },
  { name: 'a mark that stays', journey: 'refused', check: 'a field put right is not marked', spoil: swap('js/entry.js', "input.removeAttribute('aria-invalid');", '') },
  { name: 'junk that is sent', journey: 'junk', check: 'junk is not sent', spoil: swap('js/entry.js', "if (validity.badInput) throw new Unfit('That is not a number.');", 'if (validity.badInput) return null;') },
  { name: 'a step without a plan told as done', journey: 'draft', check: 'a step without a plan is not told as done', spoil: swap('js/done.js', 'did.planned ?', 'did ?') },
  { name: 'a line that is not fixed', journey: 'fix a line', check: 'the choice is kept', spoil: swap('js/zone_choices.js', "left, ...options), 'line');", "left, ...options), 'note');") },
  { name: 'a page that stays behind', journey: 'stale card', check: 'after the refusal the page has the plan of now', spoil: swap('js/plan.js', 'await readAnew();', '') },
  { name: 'an undo that does nothing', journey: 'back and forth', check: 'a step that could not be done', spoil: swap('js/plan.js', "return inTurn('step', () => send(`/api/undo${known()}`, {}));", 'return readScene();') },
  { name: 'a redo that takes back', journey: 'back and forth', check: 'a step that could not be done', spoil: swap('js/plan.js', '/api/redo', '/api/undo') },
  { name: 'a supply that is not sent', journey: 'stock', check: 'supply is what was typed', spoil: swap('js/panels/stock.js', '(plants) => ({ supply: { line, plants } })', '(plants) => ({ supply: { line, plants: plants + 1 } })') },
];

const DRAWING = [
  { name: 'a pen that stays in the hand', journey: 'draw a break line', check: 'the end of a drawing puts the pen down', spoil: swap('js/map/pointer_drawing.js', 'hold(false);\n      finished', 'finished') },
  { name: 'a line that is not put on the map', journey: 'draw a break line', check: 'the break line is in the plan', spoil: swap('js/panels/draw.js', 'draw: { what: kind.value,', "draw: { what: 'zone',") },
  { name: 'a distance that is not looked at', journey: 'keep clear', check: 'a distance that is no number is not sent', spoil: swap('js/panels/draw.js', "if (distance.value === '' ||", 'if (false &&') },
];

const VIEWS = [
  { name: 'differences that are not listed', journey: 'two plans', check: 'what differs is listed', spoil: swap('js/two_plans.js', 'one.was !== one.is', 'one.was === one.is') },
  { name: 'a skip link to nowhere', journey: 'two plans', check: 'skip links of two plans', spoil: swap('js/views.js', "to: 'view-two'", "to: 'map'") },
  { name: 'a scale bar that lies', journey: 'print sheet', check: 'the bar on paper is true', spoil: swap('js/print_sheet.js', '* 1000}mm', '* 900}mm') },
  { name: 'a sheet dated by UTC', journey: 'print sheet', check: 'the sheet has its date', spoil: swap('js/print_sheet.js', "{ day: 'numeric',", "{ timeZone: 'UTC', day: 'numeric',") },
  { name: 'a legend that is cut', journey: 'long legend', check: 'no class of the legend is cut', spoil: swap('js/print_sheet.js', '    fitLegend(sheet);\n', '') },
  { name: 'classes that are left out without a word', journey: 'long legend', check: 'what the sheet has no room for is told', spoil: swap('js/print_sheet.js', 'and ${number(out)} more', 'and more') },
  { name: 'a hill that does not turn', journey: 'hill', check: 'a button turns it', spoil: swap('js/hill.js', 'from.theta += round * STEP;', '') },
  { name: 'words that no key can scroll', journey: 'small views', check: 'axe scrollable-region-focusable', spoil: swap('js/hill.js', "class: 'words', tabindex: 0,", "class: 'words',") },
  { name: 'no words in the place of the hill', journey: 'no hill', check: 'words are there without a picture', spoil: swap('js/hill.js', 'put(words, ...inWords(null));', '') },
];

const REACH = [
  { name: 'a focus that is not seen', journey: 'keyboard alone', check: 'the focus is seen', spoil: swap('css/paper.css', ':focus-visible { outline: 3px solid var(--focus); outline-offset: 2px; }', ':focus-visible { outline: none; }') },
  { name: 'a focus that is lost', journey: 'keyboard alone', check: 'back to default leaves the focus', spoil: swap('js/focus.js', 'next(held)?.focus', 'null?.focus') },
  { name: 'a light that is forgotten', journey: 'dark', check: 'the choice of light is kept', spoil: swap('js/theme.js', 'localStorage.setItem(KEPT, select.value);', '') },
  { name: 'a map without room', journey: 'room for the map', check: 'the map keeps its room', spoil: swap('css/rooms.css', '.card { grid-area: card; width: 316px;', '.card { grid-area: card; width: 380px;') },
  { name: 'a card beside the map of a tablet', journey: 'room on a tablet', check: 'the map keeps its room', spoil: swap('css/rooms.css', '@media (max-width: 1180px)', '@media (max-width: 900px)') },
  { name: 'a tablet whose rooms stand in another order', journey: 'tablet', check: 'rooms are seen in the order', spoil: swap('js/rooms.js', "['bench', 'card', 'stage', 'done', 'drawer']", "['stage', 'bench', 'card', 'done', 'drawer']") },
  { name: 'letters too pale in the dark', journey: 'tablet dark', check: 'axe color-contrast', spoil: file('css/paper.css', (css) => css.replace(/--quiet: light-dark\([^)]*\)/, '--quiet: light-dark(#5d5345, #5a5446)')) },
  { name: 'a card out of sight', journey: 'made larger by four', check: 'the card of what is chosen comes into sight', spoil: swap('js/zone_card.js', 'isNew && isNarrow()', 'false') },
  { name: 'a page wider than its window', journey: 'made larger by four', check: 'no wider than the window', spoil: swap('css/rooms.css', '.card, .bench { width: auto; border: 0; }', '.card, .bench { width: 420px; }') },
  { name: 'letters too pale when made larger', journey: 'made larger, dark', check: 'axe color-contrast', spoil: file('css/paper.css', (css) => css.replace(/--quiet: light-dark\([^)]*\)/, '--quiet: light-dark(#5d5345, #5a5446)')) },
  { name: 'a map that is not pulled', journey: 'moving the map', check: 'a pull of the pointer moves the map', spoil: swap('js/map/interactions.js', 'onFocusOnly: false', 'dragPan: false') },
];

const KEEPING = [
  { name: 'unsaved files handed over', journey: 'hand over', check: 'a step that could not be done', spoil: swap('js/panels/hand_over.js', 'if (state.scene.unsaved.length && (await save()).length) return;', 'if (state.scene.unsaved.length) return;') },
  { name: 'a report dated by UTC', journey: 'hand over', check: 'today is the day of this place', spoil: swap('js/today.js', 'return `${now.getFullYear()}', 'return now.toISOString().slice(0, 10) || `') },
  { name: 'saving that is not heard', journey: 'saving', check: 'saving is heard', spoil: swap('js/plan.js', 'announce(saved.length', 'void (saved.length') },
  { name: 'saving that opens what was closed', journey: 'saving', check: 'saving opens nothing', spoil: swap('js/plan.js', 'if (!isStep) return;', '') },
  { name: 'what is being typed is not saved', journey: 'saving', check: 'what is being typed is saved too', spoil: swap('js/masthead.js', 'commit(); //', '//') },
];

export const FAULTS = [...LOOKING, ...CHANGING, ...DRAWING, ...VIEWS, ...REACH, ...KEEPING];
