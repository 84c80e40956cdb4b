// The day it is where this machine stands: the clock of UTC is a day behind in New Zealand until noon.

/** Today by the calendar of this machine, as files write it: `YYYY-MM-DD`. @param {Date} [now] @returns {string} */
export function today(now = new Date()) {
  const two = (part) => String(part).padStart(2, '0');
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
