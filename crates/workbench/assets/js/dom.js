// Elements in a line. Text is always text: nothing here reads markup.

/**
 * An element. Of `told`, keys that begin with `on` hear events, `dataset` and `style` are set piece by piece, booleans
 * are set or left out, the rest are attributes.
 *
 * @param {string} tag
 * @param {Record<string, any>} [told]
 * @param {...(Node|string|null|undefined|false)} children
 * @returns {HTMLElement}
 */
export function h(tag, told = {}, ...children) {
  return fill(document.createElement(tag), told, children);
}

/** The same for a drawing. @param {string} tag @param {Record<string, any>} [told] @returns {SVGElement} */
export function svg(tag, told = {}, ...children) {
  return fill(document.createElementNS('http://www.w3.org/2000/svg', tag), told, children);
}

function fill(element, told, children) {
  for (const [key, value] of Object.entries(told)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith('on')) element.addEventListener(key.slice(2), value);
    else if (key === 'dataset') Object.assign(element.dataset, value);
    else if (key === 'style') for (const [name, what] of Object.entries(value)) element.style.setProperty(name, what);
    else if (key === 'value') element.value = value;
    else element.setAttribute(key, value === true ? '' : String(value));
  }
  element.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return element;
}

/** Puts `children` in the place of what `element` holds. @param {Element} element */
export function put(element, ...children) {
  element.replaceChildren(...children.filter((child) => child !== null && child !== undefined && child !== false));
}

/** A button. @param {string} words @param {() => void} act @param {Record<string, any>} [told] */
export function button(words, act, told = {}) {
  return whenAble(h('button', { type: 'button', ...told }, words), act);
}

/** Has a button act unless it is off. @param {HTMLButtonElement} of @param {() => void} act */
export function whenAble(of, act) {
  of.addEventListener('click', () => { if (of.getAttribute('aria-disabled') !== 'true') act(); });
  return of;
}

/** Turns a button on or off; one that is off still holds the focus. @param {HTMLButtonElement} of @param {boolean} is */
export function able(of, is) {
  if (is) of.removeAttribute('aria-disabled');
  else of.setAttribute('aria-disabled', 'true');
}

let count = 0;

/** A name for an element that no other has. @param {string} of */
export function id(of) {
  count += 1;
  return `${of}-${count}`;
}

/** A field with its label above it. @param {string} words @param {HTMLElement} input @param {string} [hint] */
export function field(words, input, hint) {
  input.id ||= id('field');
  const told = hint ? h('span', { class: 'hint', id: id('hint') }, hint) : null;
  if (told) input.setAttribute('aria-describedby', told.id);
  return h('div', { class: 'field' }, h('label', { for: input.id }, words), input, told);
}
