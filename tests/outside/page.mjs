// A page in a real browser, with the network shut, and against the rules of HTML.
//
//     node page.mjs MODULES PAGE.html [SHOT.png]
//     node page.mjs --self-test MODULES
//
// MODULES: where npm put axe-core, playwright-core and html-validate. Chromium opens the page from disk; any request for
// another address is a finding, and so is every violation that axe finds of WCAG 2.2 A and AA and its best practices,
// every rule of HTML that html-validate finds broken, a drawing or a scrolling table that no key reaches or that has no
// name, and a page that is wider than its window. Prints JSON; exits 0 when all holds, 1 otherwise. --self-test feeds it
// faulty copies of a small page, each of which must draw the objection that it names.
import { createRequire } from 'node:module';
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs';
import { tmpdir } from 'node:os';
import { join, resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

const [, , ...given] = process.argv;
const proving = given[0] === '--self-test';
const [modules, page, shot] = proving ? given.slice(1) : given;
const require = createRequire(join(resolve(modules), 'node_modules', 'here.js'));
const { chromium } = require('playwright-core');
const { HtmlValidate } = require('html-validate');
const axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
const browserFile = ['/usr/bin/chromium', '/usr/bin/chromium-browser', '/usr/bin/google-chrome'].find(existsSync);
if (!browserFile) throw new Error('no Chromium');

const validator = new HtmlValidate({
  extends: ['html-validate:standard'],
  rules: {
    'no-inline-style': 'off',
    // The page is one line a row; drawings have attributes of SVG that HTML does not know.
    'long-title': 'off',
    'attr-quotes': 'off',
  },
});

async function findings(browser, file, picture) {
  const found = [];
  const context = await browser.newContext({ viewport: { width: 1280, height: 900 } });
  await context.route('**/*', (route) => {
    const url = route.request().url();
    if (url.startsWith('file:') || url.startsWith('data:')) return route.continue();
    found.push({ check: 'network', found: url });
    return route.abort();
  });
  const tab = await context.newPage();
  tab.on('pageerror', (error) => found.push({ check: 'script', found: String(error) }));
  await tab.goto(pathToFileURL(file).href);
  await tab.evaluate(axe);
  const result = await tab.evaluate(() => axe.run(document, { // eslint-disable-line no-undef
    runOnly: { type: 'tag', values: ['wcag2a', 'wcag2aa', 'wcag21a', 'wcag21aa', 'wcag22aa', 'best-practice'] },
  }));
  for (const one of result.violations) {
    found.push({ check: `axe ${one.id}`, found: `${one.nodes.length}: ${one.nodes[0].html.slice(0, 160)}` });
  }
  const ours = await tab.evaluate(() => {
    const bad = [];
    for (const box of document.querySelectorAll('svg:not([aria-hidden="true"] *):not([aria-hidden="true"])')) {
      if (box.parentElement.closest('svg')) continue;
      if (box.getAttribute('role') !== 'img') bad.push(['drawing without a role', box.outerHTML.slice(0, 120)]);
      if (!box.getAttribute('aria-label') && !box.querySelector('title')) {
        bad.push(['drawing without a name', box.outerHTML.slice(0, 120)]);
      }
    }
    for (const box of document.querySelectorAll('.wide')) {
      if (box.tabIndex !== 0) bad.push(['table out of reach', box.outerHTML.slice(0, 120)]);
    }
    if (document.documentElement.scrollWidth > window.innerWidth) {
      bad.push(['wider than the window', `${document.documentElement.scrollWidth}`]);
    }
    for (const use of document.querySelectorAll('use')) {
      if (!document.querySelector(use.getAttribute('href'))) bad.push(['picture that is not there', use.outerHTML]);
    }
    for (const link of document.querySelectorAll('a[href^="#"]')) {
      if (!document.querySelector(link.getAttribute('href'))) bad.push(['link to nowhere', link.outerHTML]);
    }
    return bad;
  });
  found.push(...ours.map(([check, words]) => ({ check, found: words })));
  if (picture) await tab.screenshot({ path: picture, fullPage: true });
  await context.close();
  const report = await validator.validateString(readFileSync(file, 'utf8'));
  const rules = new Map();
  for (const message of report.results.flatMap((one) => one.messages)) {
    if (!rules.has(message.ruleId)) rules.set(message.ruleId, `line ${message.line}: ${message.message}`);
  }
  for (const [rule, words] of rules) found.push({ check: `html ${rule}`, found: words });
  return { passed: result.passes.length, found };
}

// A small page that is sound, of the parts that ours has.
const SOUND = `<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta name="viewport" content="width=device-width, initial-scale=1">
<title>A page</title>
<style>.note{color:#444;background:#fff}a{display:inline-block;min-height:28px}.wide{overflow-x:auto}</style>
</head>
<body>
<header><h1>A page</h1></header>
<nav aria-label="Parts">
<ul>
<li><a href="#zones">Zones</a></li>
</ul>
</nav>
<main>
<section id="zones" aria-labelledby="zones-title">
<h2 id="zones-title">Zones</h2>
<p class="note">Words in small type.</p>
<figure><svg viewBox="0 0 10 10" role="img" aria-label="A square"><defs><rect id="square" width="9" height="9"/></defs><use href="#square"/></svg></figure>
<div class="wide" role="region" aria-label="Zones by area" tabindex="0">
<table>
<caption>Zones by area</caption>
<thead><tr><th scope="col">Zone</th><th scope="col">ha</th></tr></thead>
<tbody>
<tr><th scope="row">Z001</th><td>1</td></tr>
</tbody>
</table>
</div>
</section>
</main>
</body>
</html>
`;

// A fault, how it is made, and the objection that it must draw.
const FAULTS = [
  ['letters too pale', (page) => page.replace('.note{color:#444', '.note{color:#bbb'), 'axe color-contrast'],
  ['no language', (page) => page.replace('<html lang="en">', '<html>'), 'axe html-has-lang'],
  ['a drawing without a name', (page) => page.replaceAll(/ role="img" aria-label="[^"]*"/g, ' role="img"'), 'axe svg-img-alt'],
  ['a drawing without a role', (page) => page.replace(' role="img"', ''), 'drawing without a role'],
  ['a drawing that nothing names', (page) => page.replace(' aria-label="A square"', ''), 'drawing without a name'],
  ['a picture that is not there', (page) => page.replace('<use href="#square"', '<use href="#circle"'), 'picture that is not there'],
  ['a script that fails', (page) => page.replace('</main>', '<script>throw new Error("fails")</script></main>'), 'script'],
  ['a table out of reach', (page) => page.replaceAll(' tabindex="0"', ''), 'table out of reach'],
  ['an address elsewhere', (page) => page.replace('</main>', '<img alt="" src="https://example.invalid/a.png"></main>'), 'network'],
  ['an element that is not closed', (page) => page.replace('</ul>\n</nav>', '</nav>'), 'html close-order'],
  ['a link to nowhere', (page) => page.replace('href="#zones"', 'href="#nowhere"'), 'link to nowhere'],
  ['a page that is too wide', (page) => page.replace('<main>', '<main><div style="width:4000px">x</div>'), 'wider than the window'],
];

const browser = await chromium.launch({
  executablePath: browserFile,
  args: ['--headless', '--no-sandbox', '--disable-gpu', '--no-first-run', '--disable-background-networking'],
});
let ok = true;
if (proving) {
  const folder = mkdtempSync(join(tmpdir(), 'page-'));
  const missed = [];
  const small = join(folder, 'sound.html');
  writeFileSync(small, SOUND);
  const { found: wrong } = await findings(browser, small);
  if (wrong.length > 0) missed.push({ fault: 'none', found: wrong.map((one) => one.check) });
  for (const [name, spoil, objection] of FAULTS) {
    const file = join(folder, 'page.html');
    const faulty = spoil(SOUND);
    writeFileSync(file, faulty);
    const { found } = await findings(browser, file);
    if (faulty === SOUND || !found.some((one) => one.check === objection)) {
      missed.push({ fault: name, found: found.map((one) => one.check) });
    }
  }
  rmSync(folder, { recursive: true });
  ok = missed.length === 0;
  console.log(JSON.stringify({ faults: FAULTS.length, missed }, null, 1));
} else {
  const { passed, found } = await findings(browser, page, shot);
  ok = found.length === 0 && passed > 10;
  console.log(JSON.stringify({ passed, found }, null, 1));
}
await browser.close();
process.exit(ok ? 0 : 1);
