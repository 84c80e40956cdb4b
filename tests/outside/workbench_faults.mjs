// Faults that are put into the page of the workbench on purpose, and the finding that each must draw.

/** Answers the file that ends in `name` with `change` made to it. */
const file = (name, change) => (context) => context.route((url) => url.pathname.endsWith(name), async (route) => {
  const answer = await route.fetch();
  const was = await answer.text();
  const is = change(was);
  if (is === was) throw new Error(`${name} has no place for the fault`);
  await route.fulfill({ response: answer, body: is });
});

const page = (change) => (context, origin) => context.route((url) => url.origin === origin && (url.pathname === '/' || url.pathname.endsWith('.html')), async (route) => {
  const answer = await route.fetch({ maxRedirects: 5 });
  const was = await answer.text();
  // Without its policy of content, which would keep some faults from happening.
  const { 'content-security-policy': policy, ...headers } = answer.headers();
  await route.fulfill({ response: answer, headers, body: change(was) });
});

export const FAULTS = [
  { name: 'a label is missing', journey: 'look', check: 'axe select-name', spoil: page((html) => html.replace('<label for="theme">Light</label>', '')) },
  { name: 'letters too pale', journey: 'look', check: 'axe color-contrast', spoil: file('css/paper.css', (css) => css.replace(/--quiet: light-dark\([^)]*\)/, '--quiet: light-dark(#b9b2a6, #555)')) },
  { name: 'the plan is refused', journey: 'look', check: 'a step that could not be done', spoil: (context) => context.route('**/api/scene*', (route) => route.fulfill({ status: 500, json: { problems: [{ severity: 'error', item: 'plan', found: 'nothing', expected: 'a plan', remedy: 'none' }] } })) },
  { name: 'a picture from elsewhere', journey: 'look', check: 'request elsewhere', spoil: page((html) => html.replace('<dialog', '<img alt="" src="https://example.invalid/a.png"><dialog')) },
  { name: 'an error on the console', journey: 'look', check: 'error on the console', spoil: file('js/main.js', (js) => `console.error('a fault');\n${js}`) },
  { name: 'a map that draws nothing', journey: 'look', check: 'the map is drawn', spoil: file('js/map/layers.js', (js) => js.replace('refill(layers.mosaic, zones);', 'refill(layers.mosaic, []);')) },
  { name: 'keys that the map does not hear', journey: 'choose by keyboard', check: 'a step that could not be done', spoil: file('js/map/main_map.js', (js) => js.replace('n: 1, N: 1,', '')) },
  { name: 'a table that sorts wrongly', journey: 'tables', check: 'rows are sorted', spoil: file('js/table/sheet.js', (js) => js.replace('? a - b :', '? b - a :')) },
  { name: 'differences of the wrong sign', journey: 'change a rule', check: 'the difference is after less before', spoil: file('js/words.js', (js) => js.replace('after - before', 'before - after')) },
  { name: 'a scale bar that lies', journey: 'print sheet', check: 'the bar on paper is true', spoil: file('js/print_sheet.js', (js) => js.replace('* 1000}mm', '* 900}mm')) },
];
