// Gets a lesson's page ready: whose work it is, where everything lies, then the page itself.
import * as work from './work.js';

const root = new URL('.', import.meta.url).pathname;
const script = document.getElementById('jupyter-config-data');
const path = new URLSearchParams(location.search).get('path') || '';

function whole(value, key) {
  if (key === 'themesUrl' || typeof value !== 'string') return value;
  return key.endsWith('Url') && value.startsWith('./') ? root + value.slice(2) : value;
}

function settings() {
  const read = JSON.parse(script.textContent);
  const all = [read, ...Object.values(read.litePluginSettings)];
  for (const one of all) for (const [key, value] of Object.entries(one)) one[key] = whole(value, key);
  const name = work.storeName();
  return { ...read, contentsStorageName: name, settingsStorageName: `${name} settings`, workspacesStorageName: `${name} workspaces` };
}

async function start() {
  if (window.aerialstreamLacks?.length) return;
  if (!path) { location.replace(root); return; }
  navigator.serviceWorker?.register(`${root}worker.js`).catch(() => {});
  const site = await (await fetch(`${root}site.json`)).json();
  await work.refresh(site);
  if (path.startsWith('assignments/')) await work.prepare(path);
  const lesson = site.lessons.find((one) => one.notebook === path);
  const exercise = site.lessons.find((one) => path === `assignments/${one.assignment}/${one.assignment}.ipynb`);
  const title = lesson ? `${lesson.number} ${lesson.title}` : exercise ? `Exercise to ${exercise.number}` : path;
  window.aerialstreamSite = { root, work, title };
  document.title = title;
  script.textContent = JSON.stringify(settings());
  const bundle = document.createElement('script');
  bundle.src = document.getElementById('bundle').href;
  document.head.append(bundle);
}

start().catch((error) => {
  const words = document.createElement('p');
  words.textContent = `The lesson could not be opened: ${error.message}. Go back to the start page and try again.`;
  document.getElementById('waiting').append(words);
});
