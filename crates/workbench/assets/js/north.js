// An arrow to the north of the plan's grid.
import { svg } from './dom.js';

export function northArrow() {
  return svg('svg', { class: 'north', viewBox: '0 0 24 32', role: 'img', 'aria-label': 'Grid north is up' },
    svg('path', { d: 'M12 2 5 22l7-4 7 4z', fill: '#1d1a15' }),
    svg('text', { x: 12, y: 31, 'text-anchor': 'middle', 'font-size': 9, 'font-weight': 'bold', fill: '#1d1a15' }, 'N'));
}
