// Lists what the service holds. Values go into the page as text only.

const number = (value) => value.toFixed(1);
const celsius = (value) => `${number(value)}\u00a0°C`;

function element(tag, attributes = {}, ...children) {
  const made = document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) made.setAttribute(name, value);
  made.append(...children);
  return made;
}

const link = (address, text) => element('a', { href: address }, text);

async function read(address) {
  const response = await fetch(address);
  if (!response.ok) throw new Error(`${address} answered ${response.status}.`);
  return response.json();
}

/** One scale for the maps of all revisions of a board, so that they compare. */
function commonScale(solutions) {
  const layers = solutions.flatMap((solution) => solution.layers);
  return layers.length === 0 ? null : {
    min: Math.floor(Math.min(...layers.map((layer) => layer.minCelsius))),
    max: Math.ceil(Math.max(...layers.map((layer) => layer.maxCelsius))),
  };
}

/** A picture is drawn for the width it is shown at, so that its lettering is neither tiny nor blurred. */
const sources = (image, range) => ({
  src: `${image}?width=720&${range}`,
  srcset: [480, 720, 960, 1440].map((width) => `${image}?width=${width}&${range} ${width}w`).join(', '),
  sizes: '(max-width: 40rem) 85vw, 34rem',
});

function solutionCard(solution, scale) {
  const range = `min=${scale.min}&max=${scale.max}`, query = `width=1200&${range}`;
  const base = `v1/solutions/${solution.id}`;
  const relative = (address) => address.replace(/^\//, '');
  const verdict = element('span', { class: solution.verdict.pass ? 'pass' : 'fail' }, solution.verdict.pass ? 'within limits' : 'over a limit');
  const hot = [...solution.parts].sort((a, b) => b.maxCelsius - a.maxCelsius).slice(0, 3);
  return element('article', { class: 'card' },
    element('div', { class: 'head' }, element('h3', {}, `${solution.name} ${solution.revision}`), verdict),
    element('a', { href: relative(solution.layers[0].image) },
      element('img', { ...sources(relative(solution.layers[0].image), range), alt: `Temperatures of layer ${solution.layers[0].name} of ${solution.name} ${solution.revision}`, loading: 'lazy' })),
    element('p', { class: 'quiet' }, `Peak ${celsius(solution.peak.celsius)} in ${solution.peak.layer} (grid error about ${number(solution.accuracy.gridErrorKelvin)}\u00a0K). ` +
      hot.map((part) => `${part.id} ${celsius(part.maxCelsius)}`).join(', ')),
    ...solution.verdict.reasons.map((reason) => element('p', { class: 'quiet' }, reason)),
    element('p', { class: 'links' },
      ...solution.layers.map((layer) => link(`${relative(layer.image)}?${query}`, layer.name)),
      link(`${base}/views/top.png?${query}`, 'top view'), link(`${base}/views/bottom.png?${query}`, 'bottom view'), link(base, 'answer')));
}

function waitingCard(item) {
  return element('article', { class: 'card' }, element('h3', {}, `${item.name} ${item.revision}`), element('p', { class: 'quiet' }, item.state));
}

function layoutCard(layout) {
  return element('article', { class: 'card' },
    element('h3', {}, `${layout.name} ${layout.revision}`),
    element('p', { class: 'quiet' }, `Posted ${new Date(layout.created).toLocaleString()}. `, link(`v1/layouts/${layout.id}`, layout.id)));
}

function fill(place, contents, nothing) {
  document.getElementById(place).replaceChildren(...(contents.length > 0 ? contents : [element('p', { class: 'quiet' }, nothing)]));
}

const mostShown = 24;

/** The revisions of one board, in their order. */
function board(name, solutions) {
  const scale = commonScale(solutions);
  const revisions = [...solutions].sort((a, b) => a.revision.localeCompare(b.revision));
  return [
    element('p', { class: 'group' }, element('strong', {}, name), ` on one scale, ${scale.min} to ${scale.max}\u00a0°C`),
    element('div', { class: 'cards' }, ...revisions.map((solution) => solutionCard(solution, scale))),
  ];
}

async function show() {
  const [{ solutions }, { layouts }] = await Promise.all([read('v1/solutions'), read('v1/layouts')]);
  const solved = await Promise.all(solutions.filter((item) => item.state === 'solved').slice(0, mostShown).map((item) => read(`v1/solutions/${item.id}`)));
  const waiting = solutions.filter((item) => item.state !== 'solved').map(waitingCard);
  const groups = [...Map.groupBy(solved, (solution) => solution.name)].flatMap(([name, revisions]) => board(name, revisions));
  fill('solutions', [...(waiting.length > 0 ? [element('div', { class: 'cards' }, ...waiting)] : []), ...groups], 'None yet: POST a layout and conditions to /v1/solutions.');
  fill('layouts', layouts.length > 0 ? [element('div', { class: 'cards' }, ...layouts.slice(0, mostShown).map(layoutCard))] : [], 'None yet: POST one to /v1/layouts.');
}

show().catch((fault) => fill('solutions', [], `The lists could not be read: ${fault.message}`));
