// Numbers and units in words: decimal point, thousands with a comma, the unit beside the number.

const formats = new Map();

/** `value` with `digits` after the point. @param {number} value @param {number} digits */
export function number(value, digits = 0) {
  if (!formats.has(digits)) {
    formats.set(digits, new Intl.NumberFormat('en-NZ', { minimumFractionDigits: digits, maximumFractionDigits: digits }));
  }
  return formats.get(digits).format(value);
}

/** A measured number, with as many digits as say something. @param {number} value @param {string} unit */
export function measured(value, unit) {
  const words = behind(unit);
  return `${number(value, digitsFor(value, unit))}${words ? ` ${words}` : ''}`;
}

/** A share of 1 as a percentage. @param {number} share */
export function percent(share) {
  if (share > 0 && share < 0.01) return 'under 1 %';
  return `${number(share * 100)} %`;
}

/** What a table's cell says. @param {string|number|null} value @param {import('./api.js').Column} column */
export function cell(value, column) {
  if (value === null || value === undefined) return '–';
  if (typeof value !== 'number') return String(value);
  if (column.kind === 'integer') return column.unit === 'year' ? String(value) : number(value);
  return number(value, digitsFor(value, column.unit));
}

/** What a change did to one figure: sign and number, in its unit. @param {{unit: string, before: number, after: number}} figure */
export function difference({ unit, before, after }) {
  if (before === null || after === null || before === undefined || after === undefined) return 'not known';
  const gap = after - before;
  const digits = finer(before, after, unit);
  const told = number(Math.abs(gap), digits);
  const sign = Number(told.replaceAll(',', '')) === 0 ? '±' : gap > 0 ? '+' : '−';
  return `${sign}${told}`;
}

/** `before` and `after` with as many digits as tell them apart. @param {{unit: string, before: number, after: number}} figure */
export function bothSides({ unit, before, after }) {
  const say = (value) => (value === null || value === undefined ? 'not known' : number(value, finer(before ?? 0, after ?? 0, unit)));
  return [say(before), say(after)];
}

function finer(before, after, unit) {
  return Math.max(digitsFor(before, unit), digitsFor(after, unit)) + (/0 to 1/.test(unit) ? 1 : 0);
}

/** Digits after the point that a number of `unit` is told with. */
export function digitsFor(value, unit = '') {
  unit = plainUnit(unit);
  if (/plants|NZ\$|stems|trays|boxes|year|regions|days/.test(unit)) return 0;
  if (/0 to 1|share|^1$/.test(unit)) return 2;
  if (/ha/.test(unit)) return Math.abs(value) < 10 ? 2 : 1;
  return Number.isInteger(value) ? 0 : Math.abs(value) < 10 ? 2 : 1;
}

const UNITS = { 'ha, map': 'ha of map', 'ha, ground': 'ha of slope', 'm, map': 'm', 'm², map': 'm²', degC: '°C', NZD: 'NZ$', 1: '' };

/** A unit as people say it: what it is counted on stands in words, or not at all where there is one way alone. */
export function plainUnit(unit) {
  return UNITS[unit] ?? unit.replace(/, (map area|see density_basis|plants|one person|the crew)$/, '');
}

/** A unit as it stands behind a number. @param {string} unit */
export function behind(unit) {
  const plain = plainUnit(unit ?? '');
  return plain === '0 to 1' || plain === 'share' ? 'of 1' : plain;
}

/** Bytes as people say them. @param {number} bytes */
export function size(bytes) {
  return bytes < 1e6 ? `${number(bytes / 1e3)} kB` : `${number(bytes / 1e6, 1)} MB`;
}
