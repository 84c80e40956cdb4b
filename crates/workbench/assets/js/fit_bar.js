// Shares of a zone's ground by order of suitability, as a bar and in words.
import { h } from './dom.js';
import { fill } from './patterns.js';
import { percent } from './words.js';

// From suitable to not: dark and plain to pale and hatched, so that neither colour nor letter is needed alone.
const ORDERS = [
  { key: 's1_share', letter: 'S1', colour: '#0B7683', pattern: 'plain' },
  { key: 's2_share', letter: 'S2', colour: '#569F9B', pattern: 'level' },
  { key: 's3_share', letter: 'S3', colour: '#A2C9B8', pattern: 'rising' },
  { key: 'n_share', letter: 'N', colour: '#FDEFDE', pattern: 'falling' },
];

/** The bar of one line in one zone. @param {Record<string, number>} fit */
export function fitBar(fit) {
  const words = ORDERS.map((order) => `${order.letter} ${percent(fit[order.key])}`).join(', ');
  const canvas = h('canvas', { width: 300, height: 14 });
  const pen = canvas.getContext('2d');
  let from = 0;
  for (const order of ORDERS) {
    const wide = fit[order.key] * 300;
    pen.fillStyle = fill([{ ...order, share: 1 }]);
    pen.fillRect(from, 0, wide, 14);
    pen.fillStyle = '#222222';
    if (from > 0 && wide > 0) pen.fillRect(from - 0.5, 0, 1, 14);
    from += wide;
  }
  return h('div', {}, h('div', { class: 'fitbar', 'aria-hidden': 'true' }, canvas), h('span', { class: 'quiet' }, words));
}
