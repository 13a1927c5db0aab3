// Lists what the service holds. Values go into the page as text only.

const number = (value) => value.toFixed(1);

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

/** One scale for every map on the page, so that they compare. */
function commonScale(solutions) {
  const layers = solutions.flatMap((solution) => solution.layers);
  return layers.length === 0 ? null : {
    min: Math.floor(Math.min(...layers.map((layer) => layer.minCelsius))),
    max: Math.ceil(Math.max(...layers.map((layer) => layer.maxCelsius))),
  };
}

function solutionCard(solution, scale) {
  const query = `width=900&min=${scale.min}&max=${scale.max}`;
  const base = `v1/solutions/${solution.id}`;
  const relative = (address) => address.replace(/^\//, '');
  const verdict = element('span', { class: solution.verdict.pass ? 'pass' : 'fail' }, solution.verdict.pass ? 'within limits' : 'over a limit');
  const hot = [...solution.parts].sort((a, b) => b.maxCelsius - a.maxCelsius).slice(0, 3);
  return element('article', { class: 'card' },
    element('div', { class: 'head' }, element('h3', {}, `${solution.name} ${solution.revision}`), verdict),
    element('a', { href: relative(solution.layers[0].image) },
      element('img', { src: `${relative(solution.layers[0].image)}?${query}`, alt: `Temperatures of layer ${solution.layers[0].name} of ${solution.name} ${solution.revision}`, loading: 'lazy' })),
    element('p', { class: 'quiet' }, `Peak ${number(solution.peak.celsius)} °C in ${solution.peak.layer} (grid error about ${number(solution.accuracy.gridErrorKelvin)} K). ` +
      hot.map((part) => `${part.id} ${number(part.maxCelsius)} °C`).join(', ')),
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

function fill(place, cards, nothing) {
  const holder = document.getElementById(place);
  holder.className = cards.length > 0 ? 'cards' : 'quiet';
  holder.replaceChildren(...(cards.length > 0 ? cards : [nothing]));
}

const mostShown = 24;

async function show() {
  const [{ solutions }, { layouts }] = await Promise.all([read('v1/solutions'), read('v1/layouts')]);
  const solved = await Promise.all(solutions.filter((item) => item.state === 'solved').slice(0, mostShown).map((item) => read(`v1/solutions/${item.id}`)));
  const scale = commonScale(solved);
  document.getElementById('scale').textContent = scale ? `All maps on one scale, ${scale.min} to ${scale.max} °C.` : '';
  fill('solutions', [...solutions.filter((item) => item.state !== 'solved').map(waitingCard), ...solved.map((solution) => solutionCard(solution, scale))],
    'None yet: POST a layout and conditions to /v1/solutions.');
  fill('layouts', layouts.slice(0, mostShown).map(layoutCard), 'None yet: POST one to /v1/layouts.');
}

show().catch((fault) => fill('solutions', [], `The lists could not be read: ${fault.message}`));
