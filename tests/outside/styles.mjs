// Style and metadata files against readers that had no part in making them.
//
//     node styles.mjs MODULES FOLDER [METADATA.xml ...]
//     node styles.mjs --self-test MODULES FOLDER METADATA.xml
//
// MODULES: where npm put the readers. FOLDER: `styles/`. Each SLD is read by geostyler's parser (rules, symbolizers and
// colours against the table in README.md) and by jsonix with mappings made from the schemas of the standards; each
// MapLibre style by the validator of its specification; ISO 19139 metadata by jsonix. Prints JSON; exits 0 when all
// holds, 1 otherwise. --self-test feeds it faulty copies.
import { createRequire } from 'node:module';
import { readFileSync, readdirSync } from 'node:fs';
import { join, basename } from 'node:path';

const [, , ...given] = process.argv;
const proving = given[0] === '--self-test';
const [modules, folder, ...metadata] = proving ? given.slice(1) : given;
const require = createRequire(join(modules, 'node_modules', 'here.js'));
const { Jsonix } = require('jsonix');
const load = async (name, entry) => import(join(modules, 'node_modules', name, entry));
const { SldStyleParser } = await load('geostyler-sld-parser', 'dist/SldStyleParser.js');
const { validateStyleMin } = await load('@maplibre/maplibre-gl-style-spec', 'dist/index.mjs');

const mappings = (names) => names.map((name) => {
  const from = name.startsWith('XLink') ? require('w3c-schemas') : require('ogc-schemas');
  if (!from[name]) throw new Error(`no mapping ${name}`);
  return from[name];
});
const SLD = ['SLD_1_1_0', 'SE_1_1_0', 'Filter_1_1_0', 'GML_3_1_1', 'OWS_1_0_0', 'SMIL_2_0', 'SMIL_2_0_Language',
  'WMS_1_3_0', 'ISO19139_GMD_20070417', 'ISO19139_GCO_20070417', 'ISO19139_GSS_20070417', 'ISO19139_GSR_20070417',
  'ISO19139_GTS_20070417', 'GML_3_2_1', 'XLink_1_0'];
const ISO = ['ISO19139_GMD_20070417', 'ISO19139_GCO_20070417', 'ISO19139_GSS_20070417', 'ISO19139_GSR_20070417',
  'ISO19139_GTS_20070417', 'GML_3_2_1', 'XLink_1_0'];
const sldReader = new Jsonix.Context(mappings(SLD)).createUnmarshaller();
const isoReader = new Jsonix.Context(mappings(ISO)).createUnmarshaller();

// Colour of each class, by the legend of a file: the published table.
function legends(readme) {
  const found = {};
  for (const part of readme.split('\n## ').slice(1)) {
    const title = part.slice(0, part.indexOf('\n'));
    const rows = part.split('\n').filter((line) => line.startsWith('| ')).slice(1);
    found[title] = rows.map((row) => row.split(' | ').map((cell) => cell.replace(/[`|]/g, '').trim()));
  }
  return found;
}
// Legend of a style, or the one class of it that is drawn.
const LEGEND = {
  zones: ['Slope group'], blocks: ['Lines'], cover_pieces: ['Ground protected'],
  stands: ['Ground without planting', 'stand'], keep_clear: ['Ground without planting', 'keep_clear'],
  plots: ['Ground without planting', 'left'], zone_borders: ['Ground without planting', 'left'],
};

class Findings {
  checked = {}; found = [];
  check(name, holds, otherwise) {
    this.checked[name] = (this.checked[name] ?? 0) + 1;
    if (!holds) this.found.push({ check: name, found: String(otherwise).slice(0, 400) });
  }
}

// Element and attribute names that jsonix took in silence must all be there again: a text is compared by its counts.
const elements = (text, name) => (text.match(new RegExp(`<(?:\\w+:)?${name}[ >/]`, 'g')) ?? []).length;

async function sld(findings, name, text, table) {
  const [title, only] = LEGEND[name] ?? [];
  const classes = (table[title] ?? []).filter((row) => !only || row[1] === only);
  let shaped = true, said = '';
  try {
    const read = sldReader.unmarshalString(text);
    const rules = read.value.namedLayerOrUserLayer[0].namedStyleOrUserStyle[0].featureTypeStyleOrCoverageStyleOrOnlineResource[0].ruleOrOnlineResource;
    shaped = rules.length === classes.length && rules.every((rule) => rule.symbolizer.length > 0);
    said = `${rules.length} rules, ${rules.map((rule) => rule.symbolizer.length)} symbolizers`;
  } catch (error) { shaped = false; said = error.message ?? error; }
  findings.check('schema', shaped, `${name}: ${said}`);
  const read = await new SldStyleParser({ sldVersion: '1.1.0' }).readStyle(text);
  const rules = read.output?.rules ?? [];
  findings.check('read', !(read.errors?.length), `${name}: ${read.errors}`);
  findings.check('rules', rules.length > 0 && rules.length === classes.length, `${name}: ${rules.length} of ${classes.length}`);
  const symbolizers = rules.reduce((sum, rule) => sum + rule.symbolizers.length, 0);
  const hatched = classes.filter((row) => row[5] !== 'plain' && !['plots', 'zone_borders'].includes(name)).length;
  const labelled = ['stands', 'keep_clear'].includes(name) ? 0 : classes.length;
  findings.check('symbolizers', symbolizers === classes.length + hatched + labelled,
    `${name}: ${symbolizers}, expected ${classes.length} + ${hatched} hatches + ${labelled} labels`);
  if (name !== 'zone_borders') {
    const colours = rules.map((rule) => (rule.symbolizers[0]?.color ?? '').toUpperCase());
    findings.check('colours', colours.join() === classes.map((row) => row[3]).join(), `${name}: ${colours}`);
  }
  if (classes.length > 1) {
    findings.check('filters', rules.every((rule) => Array.isArray(rule.filter)), name);
  }
}

function web(findings, name, text) {
  let errors;
  try { errors = validateStyleMin(JSON.parse(text)); } catch (error) { errors = [error]; }
  findings.check('web style', errors.length === 0, `${name}: ${errors.map((error) => error.message)}`);
}

function iso(findings, name, text) {
  let holds = true, said = '';
  try {
    const page = isoReader.unmarshalString(text).value;
    const lineage = page.dataQualityInfo[0].dqDataQuality.lineage.liLineage;
    const steps = lineage.processStep.length, sources = (lineage.source ?? []).length;
    const about = page.identificationInfo[0].abstractMDIdentification.value;
    said = JSON.stringify({ steps, sources });
    holds = steps > 0 && steps === elements(text, 'processStep') && sources === elements(text, 'source')
      && about.citation.ciCitation.title.characterString.value.length > 0 && about._abstract.characterString.value.length > 0
      && page.referenceSystemInfo.length === 1 && !!about.extent?.[0]?.exExtent?.geographicElement?.length;
  } catch (error) { holds = false; said = error.message ?? error; }
  findings.check('metadata', holds, `${name}: ${said}`);
}

async function check(files) {
  const findings = new Findings();
  const table = legends(files['README.md'] ?? '');
  for (const [name, text] of Object.entries(files)) {
    if (name.endsWith('.sld')) await sld(findings, name.slice(0, -4), text, table);
    if (name.endsWith('.style.json')) web(findings, name, text);
    if (name.endsWith('.xml')) iso(findings, name, text);
  }
  findings.check('a style for each', Object.keys(LEGEND).every((name) => files[`${name}.sld`]), Object.keys(files));
  return findings;
}

const files = Object.fromEntries(readdirSync(folder).map((name) => [name, readFileSync(join(folder, name), 'utf8')]));
for (const file of metadata) files[basename(file)] = readFileSync(file, 'utf8');

function finish(report, failed) {
  console.log(JSON.stringify(report, null, 1));
  process.exit(failed ? 1 : 0);
}

if (!proving) {
  const { checked, found } = await check(files);
  finish({ checked, findings: found, count: found.length }, found.length > 0 || Object.keys(checked).length === 0);
}
const page = metadata.length ? basename(metadata[0]) : '';
const faults = [
  [null, 'zones.sld', (text) => text],
  ['schema', 'zones.sld', (text) => text.replace('<se:PolygonSymbolizer>', '<se:PoligonSymbolizer>').replace('</se:PolygonSymbolizer>', '</se:PoligonSymbolizer>')],
  ['symbolizers', 'zones.sld', (text) => text.replace('<se:PolygonSymbolizer>', '<se:PoligonSymbolizer>').replace('</se:PolygonSymbolizer>', '</se:PoligonSymbolizer>')],
  ['rules', 'blocks.sld', (text) => text.replace(/<se:Rule>[^]*?<\/se:Rule>/, '')],
  ['colours', 'cover_pieces.sld', (text) => text.replace('#FDEFDE', '#FDEFDF')],
  ['colours', 'stands.sld', (text) => text.replace('#12351F', '#12351E')],
  ['filters', 'zones.sld', (text) => text.replace(/<ogc:Filter>[^]*?<\/ogc:Filter>/, '')],
  ['read', 'zones.sld', (text) => text.replace('WellKnownName>circle', 'WellKnownName>blob')],
  ['web style', 'zones.style.json', (text) => text.replace('"match"', '"mach"')],
  ['web style', 'blocks.style.json', (text) => text.slice(0, -10)],
  ['metadata', page, (text) => text.replace(/gmd:processStep>/g, 'gmd:processStip>')],
  ['metadata', page, (text) => text.replace(/<gmd:title>[^]*?<\/gmd:title>/, '')],
  ['a style for each', 'plots.sld', () => undefined],
];
const missed = [];
let proved = new Set(), all = new Set();
for (const [expected, file, spoil] of faults) {
  const spoiled = { ...files, [file]: spoil(files[file]) };
  if (spoiled[file] === undefined) delete spoiled[file];
  if (expected && spoiled[file] === files[file]) missed.push({ expected, file, found: 'nothing was spoiled' });
  let findings;
  try { findings = await check(spoiled); } catch (error) { findings = { checked: {}, found: [{ check: 'read', found: String(error) }] }; }
  if (expected === null) all = new Set(Object.keys(findings.checked));
  const names = findings.found.map((one) => one.check);
  if (expected === null ? names.length : !names.includes(expected)) missed.push({ expected, file, found: findings.found.slice(0, 3) });
  if (expected) proved.add(expected);
}
const unproved = [...all].filter((name) => !proved.has(name));
finish({ faults: faults.length, checks: all.size, missed, unproved }, missed.length || unproved.length || all.size === 0);
