// A tolerance as a drawing: fit from 0 to 1 over the values of a factor.
import { svg } from './dom.js';

const WIDE = 260;
const [TOP, BASE] = [10, 42];

/**
 * The drawing of up to four corners.
 *
 * @param {{none_below?: number, full_from?: number, full_to?: number, none_above?: number}} corners
 * @param {string} words the same in words
 */
export function trapezoid(corners, words) {
  const given = [corners.none_below, corners.full_from, corners.full_to, corners.none_above];
  const known = given.filter((one) => one !== undefined && one !== null);
  const [least, most] = known.length ? [Math.min(...known), Math.max(...known)] : [0, 1];
  const room = (most - least || 1) * 0.2;
  const x = (value) => 10 + ((value - least + room) / (most - least + 2 * room)) * (WIDE - 20);
  const at = given.map((one) => (one === undefined || one === null ? null : x(one)));
  const low = at[0] ?? at[1];
  const high = at[3] ?? at[2];
  const path = [
    at[0] === null && at[1] === null ? [[0, BASE], [0, TOP]] : [[low, BASE], [at[1] ?? at[0], TOP]],
    at[3] === null && at[2] === null ? [[WIDE, TOP], [WIDE, BASE]] : [[at[2] ?? at[3], TOP], [high, BASE]],
  ].flat();
  const labels = given.flatMap((one, corner) => (at[corner] === null ? [] : [
    svg('text', { x: at[corner], y: corner === 0 || corner === 3 ? BASE + 12 : TOP - 2, 'text-anchor': 'middle' }, String(one)),
  ]));
  return svg('svg', { class: 'trapezoid', viewBox: `0 0 ${WIDE} 58`, role: 'img', 'aria-label': words },
    svg('polygon', { class: 'area', points: path.map((point) => point.join()).join(' ') }),
    svg('path', { class: 'base', d: `M0 ${BASE}H${WIDE}` }),
    ...labels);
}
