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

const $ = (id) => document.getElementById(id);
const say = (words) => { $('state').textContent = words; };

// The controls are there: now there is time to keep the site for use without network.
function ready() {
  say('');
  setTimeout(() => navigator.serviceWorker?.ready.then(({ active }) => active.postMessage('keep all')), 4000);
}

// Everything that was done is in the browser's storage before the page is left or a file written.
async function settled() {
  await Promise.race([window.aerialstreamSite.flush?.(), new Promise((done) => setTimeout(done, 5000))]);
}

async function go(address) {
  await settled().catch(() => {});
  // Over plain http there is nothing to go to while the server is away; here the work can be saved.
  const there = await fetch(address).then((answer) => answer.ok, () => false);
  if (there) location.href = address;
  else say('The site is not reached. Your work is kept here; “Save my work” writes it to a file.');
}

async function save() {
  $('save').disabled = true;
  try {
    await settled();
    say(`Saved as “${await work.save()}”`);
  } catch (error) {
    say(`Not saved: ${error.message}`);
  }
  $('save').disabled = false;
}

// An exercise tells its reader to save by the disk symbol or Ctrl+S and to hand the file in: so they write one.
function saveByHabit() {
  const instead = (event) => { event.preventDefault(); event.stopImmediatePropagation(); save(); };
  document.addEventListener('keydown', (event) => { if ((event.ctrlKey || event.metaKey) && event.key.toLowerCase() === 's') instead(event); }, true);
  document.addEventListener('click', (event) => { if (event.target.closest?.('[data-command="docmanager:save"]')) instead(event); }, true);
}

async function showSheet(name) {
  const sheet = (await work.all())[name];
  if (sheet) window.open(URL.createObjectURL(new Blob([work.textOf(sheet)], { type: 'text/html' })), '_blank');
}

// Links of a lesson to the start page, the glossary and the exercises stay within the site.
function followLinks() {
  document.addEventListener('click', (event) => {
    const link = event.target.closest?.('.jp-RenderedMarkdown a, .as-said a');
    if (!link) return;
    let to = link.getAttribute('href') || '', place = '';
    try {
      const given = JSON.parse(link.dataset.commandlinkerArgs || 'null');
      if (given?.path) { to = given.path; place = given.id || ''; }
    } catch { /* an ordinary link */ }
    const [file, hash] = decodeURIComponent(to.replace(/^.*\/files\//, '')).split('#');
    const ways = [
      [/start\.md$/, () => go(root)],
      [/glossary\.md$/, () => window.open(`${root}glossary.html${place || (hash ? `#${hash}` : '')}`, '_blank')],
      [/my-manual-sheet\.html$/, () => showSheet('my-manual-sheet.html')],
      [/\.ipynb$/, () => go(`${root}notebooks/index.html?path=${encodeURIComponent(file)}`)],
    ];
    const way = ways.find(([ending]) => ending.test(file));
    if (!way) return;
    event.preventDefault();
    event.stopImmediatePropagation();
    way[1]();
  }, true);
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
  window.aerialstreamSite = { root, work, say, ready, flush: null };
  document.title = $('title').textContent = title;
  $('save').disabled = false;
  $('save').addEventListener('click', save);
  // A tablet may end a page that is out of sight without another word.
  document.addEventListener('visibilitychange', () => { if (document.hidden) settled().catch(() => {}); });
  // A page that the browser had laid aside may be an earlier member's.
  window.addEventListener('pageshow', (event) => { if (event.persisted) location.reload(); });
  $('back').addEventListener('click', (event) => { event.preventDefault(); go(root); });
  followLinks();
  if (path.startsWith('assignments/')) saveByHabit();
  say('Getting ready …');
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
