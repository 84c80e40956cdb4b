// The hill in three dimensions, with the plan draped over it. The library is read only when this is opened.
import { announce } from './announce.js';
import { read, readBytes, Refusal } from './api.js';
import { button, h, put } from './dom.js';
import { drape } from './drape.js';
import { mosaicLegend } from './legend.js';
import { problemList } from './problems.js';
import { on, state } from './store.js';
import { measured, number } from './words.js';

const STEP = Math.PI / 12; // one press of a button or key

/** @param {HTMLElement} box @returns {Promise<() => void>} what to do when it is shown again */
export async function hill(box) {
  box.classList.add('hill');
  const words = h('div', { class: 'words', tabindex: 0, role: 'region', 'aria-label': 'The hill in words' });
  const scene = h('div', { class: 'scene' });
  const tools = h('div', { class: 'tools row', role: 'group', 'aria-label': 'Turn the hill' });
  box.append(tools, scene, words);
  if (!canDraw()) {
    put(scene, h('p', { class: 'panel' }, 'This view needs WebGL, which this browser or machine does not offer. The map and the tables hold the same plan.'));
    put(words, ...inWords(null));
    return () => {};
  }
  try {
    const [three, { OrbitControls }, terrain, bytes] = await Promise.all([
      import('../vendor/three/three.module.min.js'), import('../vendor/three/OrbitControls.js'), read('/api/terrain'), readBytes('/api/terrain.bin')]);
    put(words, ...inWords(terrain));
    return raise({ three, OrbitControls, terrain, heights: heightsOf(bytes), scene, tools, words });
  } catch (fault) {
    if (!(fault instanceof Refusal)) throw fault;
    put(scene, problemList(fault.problems));
    return () => {};
  }
}

function canDraw() {
  const canvas = document.createElement('canvas');
  return Boolean(canvas.getContext('webgl2'));
}

/** Numbers of four bytes, the least significant first, whatever the machine's own order. */
function heightsOf(bytes) {
  const view = new DataView(bytes);
  return Float32Array.from({ length: bytes.byteLength / 4 }, (_, at) => view.getFloat32(at * 4, true));
}

function raise({ three, OrbitControls, terrain, heights, scene, tools, words }) {
  const [w, s, e, n] = terrain.extent;
  const span = Math.max(e - w, n - s);
  const renderer = new three.WebGLRenderer({ antialias: true, alpha: true });
  renderer.setPixelRatio(Math.min(devicePixelRatio, 2));
  const canvas = renderer.domElement;
  canvas.classList.add('land');
  canvas.tabIndex = 0;
  canvas.setAttribute('role', 'application');
  canvas.setAttribute('aria-label', 'The hill in 3D. Arrow keys turn and tilt it, plus and minus come nearer and go farther, Home starts again. The words below say the same as the picture.');
  scene.append(canvas);

  const world = new three.Scene();
  const land = new three.Mesh(ground(three, terrain, heights), new three.MeshLambertMaterial());
  world.add(land);
  world.add(new three.AmbientLight(0xffffff, 1.5));
  const sun = new three.DirectionalLight(0xffffff, 2.2);
  sun.position.set(-1, 1.3, -1).multiplyScalar(span); // from the north-west, as relief is drawn
  world.add(sun);
  const camera = new three.PerspectiveCamera(40, 1, span / 1000, span * 10);
  const controls = new OrbitControls(camera, canvas);
  controls.maxPolarAngle = Math.PI / 2 - 0.05;
  controls.minDistance = span / 20;
  controls.maxDistance = span * 3;
  controls.addEventListener('change', draw);

  function draw() {
    renderer.render(world, camera);
  }

  function start() {
    controls.target.set(0, 0, 0);
    camera.position.set(span * 0.1, span * 0.62, span * 0.88);
    controls.update();
    draw();
  }

  function turn(round, up, near) {
    const from = new three.Spherical().setFromVector3(camera.position.clone().sub(controls.target));
    from.theta += round * STEP;
    from.phi = Math.min(Math.max(from.phi - up * STEP, 0.02), controls.maxPolarAngle);
    from.radius = Math.min(Math.max(from.radius * near, controls.minDistance), controls.maxDistance);
    camera.position.setFromSpherical(from).add(controls.target);
    controls.update();
    draw();
  }

  function dress() {
    const texture = new three.CanvasTexture(drape(state.scene, state.geometry, terrain.extent));
    texture.colorSpace = three.SRGBColorSpace;
    texture.anisotropy = renderer.capabilities.getMaxAnisotropy();
    land.material.map?.dispose();
    land.material.map = texture;
    land.material.needsUpdate = true;
    put(words, ...inWords(terrain));
    draw();
  }

  function fitWindow() {
    const { clientWidth: wide, clientHeight: high } = scene;
    if (wide === 0 || high === 0) return;
    renderer.setSize(wide, high, false);
    camera.aspect = wide / high;
    camera.updateProjectionMatrix();
    draw();
  }

  const steeper = h('select', { id: 'steeper', onchange: () => {
    land.scale.y = Number(steeper.value);
    draw();
    announce(steeper.value === '1' ? 'Heights as they are.' : `Heights drawn ${steeper.value} times.`);
  } }, h('option', { value: '1' }, 'as they are (1×)'), h('option', { value: '1.5' }, '1.5× steeper'), h('option', { value: '2' }, '2× steeper'));
  put(tools,
    button('⟲ Turn left', () => turn(-1, 0, 1)), button('⟳ Turn right', () => turn(1, 0, 1)),
    button('Tilt up', () => turn(0, 1, 1)), button('Tilt down', () => turn(0, -1, 1)),
    button('Nearer', () => turn(0, 0, 0.8)), button('Farther', () => turn(0, 0, 1.25)), button('Start again', start),
    h('label', { for: 'steeper' }, 'Heights'), steeper);
  canvas.addEventListener('keydown', (event) => {
    const move = { ArrowLeft: [-1, 0, 1], ArrowRight: [1, 0, 1], ArrowUp: [0, 1, 1], ArrowDown: [0, -1, 1], '+': [0, 0, 0.8], '=': [0, 0, 0.8], '-': [0, 0, 1.25] }[event.key];
    if (move) turn(...move);
    else if (event.key === 'Home') start();
    else return;
    event.preventDefault();
  });
  new ResizeObserver(fitWindow).observe(scene);
  on('scene', () => { if (state.view === 'hill') dress(); });
  start();
  return () => {
    fitWindow();
    dress();
  };
}

/** The ground as a mesh: metres, its middle at the origin, north away from the eye. Holes lie at the lowest height. */
function ground(three, { columns, rows, extent: [w, s, e, n], least_m: least, most_m: most }, heights) {
  const mesh = new three.PlaneGeometry(e - w, n - s, columns - 1, rows - 1);
  mesh.rotateX(-Math.PI / 2);
  const places = mesh.attributes.position;
  const middle = (least + most) / 2;
  for (let at = 0; at < places.count; at += 1) places.setY(at, (Number.isFinite(heights[at]) ? heights[at] : least) - middle);
  mesh.computeVertexNormals();
  return mesh;
}

/** What the picture shows, in words. */
function inWords(terrain) {
  const { totals } = state.scene;
  const groups = Object.entries(totals.slope_group_plan_ha).filter(([, area]) => area > 0).map(([group, area]) => `${group} ${measured(area, '')}`).join(', ');
  const steep = ['F', 'G'].reduce((sum, group) => sum + (totals.slope_group_plan_ha[group] ?? 0), 0);
  return [
    h('p', {}, terrain ? `The ground lies between ${number(terrain.least_m)} and ${number(terrain.most_m)} m above the sea, drawn from ${number(terrain.columns)} × ${number(terrain.rows)} heights. ` : '',
      `${measured(steep, 'ha of map')} of the planting zones are steep (groups F and G, over 25°). Zones by slope group, ha of map: ${groups}. A picture of ground is not a look at it.`),
    mosaicLegend(state.scene, 'legend wide'),
  ];
}
