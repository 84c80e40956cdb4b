// Figures of the whole property: what each key of the totals means, said once for every table that tells them.

/** @type {[string, string, string][]} key, words, unit */
export const TOTALS = [
  ['property_plan_ha', 'Property', 'ha of map'],
  ['zones_plan_ha', 'Planting zones', 'ha of map'],
  ['planted_plan_ha', 'Planted', 'ha of map'],
  ['planted_ground_ha', 'Planted', 'ha of slope'],
  ['left_plan_ha', 'No line stands on', 'ha of map'],
  ['left_open_plan_ha', 'Of that open, left to regenerate', 'ha of map'],
  ['stands_plan_ha', 'Native stands', 'ha of map'],
  ['keep_clear_plan_ha', 'Kept clear', 'ha of map'],
  ['seedlings', 'Plants into the ground', 'plants'],
  ['order_qty', 'Plants to order', 'plants'],
  ['cost_nzd', 'Plants and planting, where they have a price', 'NZ$'],
  ['budget_nzd', 'Budget for them', 'NZ$'],
  ['person_days', 'Days of one person to plant', 'days'],
];

/** Of these, what is held against another plan. */
const COMPARED = ['seedlings', 'order_qty', 'cost_nzd', 'planted_plan_ha', 'left_plan_ha', 'left_open_plan_ha', 'person_days'];

/** What two plans have, side by side. @returns {{name: string, unit: string, before: number, after: number}[]} */
export function compared(before, after) {
  const told = COMPARED.map((key) => TOTALS.find(([of]) => of === key));
  return told.map(([key, name, unit]) => ({ name, unit, before: before[key], after: after[key] }));
}
