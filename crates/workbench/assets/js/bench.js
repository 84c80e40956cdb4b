// The bench: what is looked at, changed, drawn, checked and handed over.
import { checkPanel } from './panels/check.js';
import { drawPanel } from './panels/draw.js';
import { handOverPanel } from './panels/hand_over.js';
import { lookPanel } from './panels/look.js';
import { rulesPanel } from './panels/rules.js';
import { stockPanel } from './panels/stock.js';
import { tabs } from './tabs.js';

/** @param {HTMLElement} list @param {HTMLElement} panels */
export function startBench(list, panels, map) {
  panels.style.minHeight = '0';
  panels.style.overflow = 'auto';
  const draw = drawPanel(map);
  tabs(list, panels, [
    { key: 'look', title: 'Look', panel: lookPanel(map) },
    { key: 'rules', title: 'Rules', panel: rulesPanel() },
    { key: 'stock', title: 'Stock', panel: stockPanel() },
    { key: 'draw', title: 'Draw', panel: draw.panel },
    { key: 'check', title: 'Check', panel: checkPanel() },
    { key: 'hand-over', title: 'Hand over', panel: handOverPanel() },
  ], (key) => draw.opened(key === 'draw'));
}
