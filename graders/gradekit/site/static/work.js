// A member's work in the browser's own storage: kept, saved to a file, opened from one.
// Each member number has a storage of its own, so that a shared tablet mixes nobody's work up.
import { crc32, makeZip, readZip } from './zip.js';

export const MEMBER = /^[A-Z0-9][A-Z0-9-]{0,19}$/;
const PROGRESS = 'my progress/', PLACE = 'my progress/place.json', EARLIER = 'earlier work/';
const FILES = 'files', ABOUT = 'about this file.json', KIND = 'aerialstream work';
const root = new URL('.', import.meta.url);

// --- small things kept beside it ----------------------------------------------------------------

function noted(key) {
  try { return JSON.parse(localStorage.getItem(`aerialstream ${key}`)); } catch { return null; }
}
function note(key, value) {
  try { localStorage.setItem(`aerialstream ${key}`, JSON.stringify(value)); } catch { /* full or switched off */ }
}

// Whose tab this is. Another tab may go on for somebody else; this one stays whose it was opened for.
function ofThisTab() {
  try { return JSON.parse(sessionStorage.getItem('aerialstream member')); } catch { return null; }
}
function becomes(number) {
  try { sessionStorage.setItem('aerialstream member', JSON.stringify(number)); } catch { /* switched off */ }
}
if (ofThisTab() === null) becomes(noted('member') || '');

export function member() {
  const who = ofThisTab() ?? noted('member') ?? '';
  return MEMBER.test(who) ? who : '';
}
export const members = () => (noted('members') || []).filter((one) => MEMBER.test(one));
export const storeName = (who = member()) => (who ? `aerialstream ${who}` : 'aerialstream');

// --- the storage --------------------------------------------------------------------------------

function asked(request) {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
    request.onblocked = () => failed(new Error('another window of the lessons is in the way: close it'));
  });
}

async function opened(name) {
  const make = (request) => {
    request.onupgradeneeded = () => {
      if (!request.result.objectStoreNames.contains(FILES)) request.result.createObjectStore(FILES);
    };
    return asked(request);
  };
  let db = await make(indexedDB.open(name));
  if (!db.objectStoreNames.contains(FILES)) {
    const next = db.version + 1;
    db.close();
    db = await make(indexedDB.open(name, next));
  }
  return db;
}

async function within(mode, call, name = storeName()) {
  const db = await opened(name);
  try {
    const deal = db.transaction(FILES, mode);
    const done = new Promise((good, bad) => {
      deal.oncomplete = good;
      deal.onerror = deal.onabort = () => bad(deal.error || new Error('the storage refused'));
    });
    const given = await call(deal.objectStore(FILES));
    await done;
    return given;
  } finally {
    db.close();
  }
}

// {path: model} of everything that is kept for a member.
export async function all(name = storeName()) {
  const [keys, values] = await within('readonly', (store) => Promise.all([asked(store.getAllKeys()), asked(store.getAll())]), name);
  return Object.fromEntries(keys.map((key, n) => [key, values[n]]));
}

function model(path, content) {
  const now = new Date().toISOString(), notebook = typeof content !== 'string';
  return {
    name: path.split('/').pop(), path, created: now, last_modified: now, writable: true, content,
    size: notebook ? JSON.stringify(content).length : content.length,
    mimetype: path.endsWith('.html') ? 'text/html' : 'application/json',
    type: notebook ? 'notebook' : 'file', format: notebook ? 'json' : 'text',
  };
}

// Keep files: {path: text, or a notebook as object}.
export async function keep(files, name = storeName()) {
  await within('readwrite', async (store) => {
    for (const [path, content] of Object.entries(files)) store.put(model(path, content), path);
  }, name);
}

// Keep what a lesson has written; what another tab kept of the same lesson meanwhile stays with it.
export async function take(news) {
  await within('readwrite', async (store) => {
    for (const [path, text] of Object.entries(news)) {
      const before = isLesson(path) ? await asked(store.get(path)) : null;
      store.put(model(path, together(before, text)), path);
    }
  });
}

async function drop(paths, name = storeName()) {
  await within('readwrite', async (store) => { for (const path of paths) store.delete(path); }, name);
}

export function textOf(model) {
  if (model.format === 'base64') return new TextDecoder().decode(Uint8Array.from(atob(model.content), (c) => c.charCodeAt(0)));
  return typeof model.content === 'string' ? model.content : JSON.stringify(model.content, null, 1);
}

// --- what is work -------------------------------------------------------------------------------

const isExercise = (path) => /^assignments\/[^/]+\/[^/]+\.ipynb$/.test(path);
const isProgress = (path) => path.startsWith(PROGRESS) && path.endsWith('.json') && path !== PLACE;
const isLesson = (path) => /^my progress\/lesson-\d+\.json$/.test(path);
const isWork = (path) => isExercise(path) || isProgress(path) || path.startsWith(EARLIER);
const sources = (nb) => nb.cells.map((cell) => [].concat(cell.source).join(''));
const isMemberCell = (source) => source.startsWith('member = ');

function marked(path, model) {
  const text = isExercise(path) ? sources(notebook(model)).filter((s) => !isMemberCell(s)).join('\u0000') : textOf(model);
  return crc32(new TextEncoder().encode(text));
}
const notebook = (model) => (typeof model.content === 'string' ? JSON.parse(textOf(model)) : model.content);

// What the kernel needs of it: {path: text}.
export async function progress() {
  const files = await all();
  return Object.fromEntries(Object.entries(files).filter(([path, one]) => isProgress(path) && one.content).map(([path, one]) => [path, textOf(one)]));
}

async function fromSite(path) {
  const answer = await fetch(new URL(`files/${path}`, root));
  if (!answer.ok) throw new Error(`the site has no ${path}`);
  return answer.json();
}

// How far an exercise is: {answered, of, known}; all counts as answered while the site is not reached.
export async function standing(path, model) {
  const released = await fromSite(path).catch(() => null);
  const before = new Map((released?.cells || []).map((cell) => [cell.metadata.nbgrader?.grade_id, [].concat(cell.source).join('')]));
  const mine = notebook(model).cells.filter((cell) => cell.metadata.nbgrader?.solution && !isMemberCell([].concat(cell.source).join('')));
  const answered = mine.filter((cell) => before.get(cell.metadata.nbgrader.grade_id) !== [].concat(cell.source).join(''));
  return { answered: answered.length, of: mine.length, known: Boolean(released) };
}

// --- members ------------------------------------------------------------------------------------

// Work under this number from now on; what was done without a number goes along.
export async function workAs(number) {
  const who = number.trim().toUpperCase();
  if (who && !MEMBER.test(who)) throw new Error(`“${number}” is no member number: use letters, digits and hyphens.`);
  if (who && !member()) await goAlong(who);
  becomes(who);
  note('member', who);
  if (member() !== who) throw new Error('This browser does not keep your number: leave the private window, or allow this site to store data.');
  if (who) note('members', [who, ...members().filter((one) => one !== who)].slice(0, 30));
}

async function goAlong(who) {
  const without = await all('aerialstream'), theirs = await all(storeName(who));
  const moved = Object.entries(without).filter(([path]) => isWork(path) && (isLesson(path) || !theirs[path]));
  if (!moved.length) return;
  const files = Object.fromEntries(moved.map(([path, one]) => [path, isExercise(path) ? withMember(notebook(one), who) : together(theirs[path], textOf(one))]));
  await keep(files, storeName(who));
  await drop(moved.map(([path]) => path), 'aerialstream');
}

function withMember(nb, who) {
  for (const cell of nb.cells) {
    const source = [].concat(cell.source).join('');
    if (source.startsWith('member = ""')) cell.source = source.replace('member = ""', `member = "${who}"`);
  }
  return nb;
}

// Have an exercise lie ready with the member's number in it; one that was begun stays as it is.
export async function prepare(path) {
  const files = await all();
  if (files[path] || !member()) return;
  const nb = withMember(await fromSite(path), member());
  await keep({ [path]: nb });
  // As handed out it is nothing to save yet.
  const saved = noted(`${storeName()} saved`) || { when: '', marks: {} };
  note(`${storeName()} saved`, { ...saved, marks: { ...saved.marks, [path]: marked(path, model(path, nb)) } });
}

// --- a newer site -------------------------------------------------------------------------------

// Lessons are the site's: a kept copy of an older one makes way. Answers lie elsewhere and stay.
export async function refresh(site) {
  if (noted(`${storeName()} version`) === site.version) return;
  const files = await all();
  await drop(Object.keys(files).filter((path) => path.endsWith('.ipynb') && !isWork(path)));
  note(`${storeName()} version`, site.version);
}

// --- saving and opening -------------------------------------------------------------------------

// {paths of work that no file has yet, when was last saved}.
export function unsaved(files) {
  const saved = noted(`${storeName()} saved`) || { marks: {} };
  const paths = Object.keys(files).filter((path) => isWork(path) && saved.marks[path] !== marked(path, files[path]));
  return { paths, when: saved.when || '' };
}

function stamp(when = new Date()) {
  const two = (number) => String(number).padStart(2, '0');
  const day = `${when.getFullYear()}-${two(when.getMonth() + 1)}-${two(when.getDate())}`;
  // Not four digits in a row: they could be somebody's number.
  return `${day} ${two(when.getHours())}h${two(when.getMinutes())}m${two(when.getSeconds())}`;
}

function download(blob, name) {
  const link = document.createElement('a');
  link.href = URL.createObjectURL(blob);
  link.download = name;
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

// One file with everything; gives its name. It is the hand-in as well.
export async function save() {
  const files = await all(), out = {};
  for (const [path, one] of Object.entries(files)) {
    if (!isWork(path) || !one.content) continue;
    if (isExercise(path) && !(await standing(path, one)).answered) continue;
    out[path] = textOf(one);
  }
  out[ABOUT] = JSON.stringify({ kind: KIND, member: member(), saved: new Date().toISOString() }, null, 1);
  const name = `${member() || 'work'} ${stamp()}.zip`;
  download(makeZip(out), name);
  const marks = Object.fromEntries(Object.entries(files).filter(([path]) => isWork(path)).map(([path, one]) => [path, marked(path, one)]));
  note(`${storeName()} saved`, { when: new Date().toISOString(), marks });
  return name;
}

// One exercise alone, to hand in; gives the file's name.
export async function handIn(path) {
  const files = await all(), exercise = path.split('/').pop().replace('.ipynb', '');
  const name = `${member() || 'work'} ${exercise} ${stamp()}.zip`;
  download(makeZip({ [path]: textOf(files[path]) }), name);
  return name;
}

function merged(mine, theirs) {
  const both = structuredClone(mine);
  for (const [part, entries] of Object.entries(theirs)) {
    both[part] = both[part] || {};
    for (const [name, entry] of Object.entries(entries || {})) {
      const own = both[part][name];
      if (!own || typeof own !== 'object' || typeof entry !== 'object') { both[part][name] = entry || own; continue; }
      const newer = (entry.day || '') >= (own.day || '') ? entry : own;
      const first = [own.first_right, entry.first_right].filter(Boolean).sort()[0];
      const last = [own.last_right, entry.last_right].filter(Boolean).sort().pop();
      both[part][name] = { ...own, ...newer };
      if (first) Object.assign(both[part][name], { first_right: first, last_right: last });
      if (own.tries || entry.tries) both[part][name].tries = Math.max(own.tries || 0, entry.tries || 0);
    }
  }
  return both;
}

// Progress that was kept, with what is new of it; the new alone where they cannot be put together.
function together(before, text) {
  try { return before ? JSON.stringify(merged(JSON.parse(textOf(before)), JSON.parse(text)), null, 1) : text; } catch { return text; }
}

async function read(file) {
  const buffer = await file.arrayBuffer();
  if (/\.ipynb(\.json)?$/i.test(file.name) || new Uint8Array(buffer, 0, 1)[0] === 123) {
    const text = new TextDecoder().decode(buffer), nb = JSON.parse(text);
    return { [exercisePath(nb)]: text };
  }
  return readZip(buffer);
}

// Where an exercise belongs, by the names of its own cells.
function exercisePath(nb) {
  for (const cell of nb.cells || []) {
    const id = cell.metadata?.nbgrader?.grade_id || '';
    const name = /^(.+)-title$/.exec(id)?.[1];
    if (name) return `assignments/${name}/${name}.ipynb`;
  }
  throw new Error('this notebook is none of our exercises');
}

// The number that stands in an exercise, where there is one.
function ownerOf(inside) {
  for (const text of Object.values(inside)) {
    const found = /"member = \\"([A-Z0-9-]+)\\"/.exec(text);
    if (found && MEMBER.test(found[1])) return found[1];
  }
  return '';
}

const PLAIN = /^\w+ = ("""((?!""")[^\\])*"""|"[^"\n\\]*"|\d{0,2})[ \t]*(#[^\n]*)?(\n(#[^\n]*|retake = \d{1,2})?)*$/;

// A notebook from outside runs by itself only if it is ours but for answers between quotes.
async function trustedIfPlain(path, nb) {
  const released = await fromSite(path).catch(() => ({ cells: [] }));
  const ours = new Set(sources(released));
  const plain = nb.cells.every((cell) => {
    const source = [].concat(cell.source).join('');
    return cell.cell_type !== 'code' || ours.has(source) || PLAIN.test(source);
  });
  for (const cell of nb.cells) {
    if (cell.cell_type !== 'code') continue;
    cell.metadata.trusted = plain;
    if (!plain) cell.outputs = [];
  }
  return nb;
}

// Take in a saved file, or an exercise that an instructor gave out; gives what was done, in words.
// Nothing is lost: what lay here before and differs is set aside.
export async function open(file) {
  let inside, about;
  try {
    inside = await read(file);
    about = JSON.parse(inside[ABOUT] || '{}') || {};
  } catch (error) {
    throw new Error(`${file.name} could not be opened: ${error.message}. Nothing was changed.`);
  }
  if (!Object.keys(inside).some((path) => isWork(path) || path.endsWith('.ipynb'))) throw new Error(`${file.name} holds no work of these lessons. Nothing was changed.`);
  const whose = MEMBER.test(about.member || '') ? about.member : ownerOf(inside);
  if (whose) await workAs(whose);
  const here = await all(), fresh = {}, aside = [], taken = [], inFile = {};
  for (let [path, text] of Object.entries(inside)) {
    if (path === ABOUT || path.endsWith('/')) continue;
    if (!isWork(path) && path.endsWith('.ipynb')) {
      try { path = exercisePath(JSON.parse(text)); } catch { continue; }
    }
    if (!isWork(path)) continue;
    let content = text;
    try {
      if (isExercise(path)) content = await trustedIfPlain(path, JSON.parse(text));
      else if (isProgress(path)) {
        const parsed = JSON.parse(text);
        if (Object.prototype.toString.call(parsed) !== '[object Object]') continue;
        if (here[path]) content = JSON.stringify(merged(JSON.parse(textOf(here[path])), parsed), null, 1);
      }
    } catch { continue; }
    if (isExercise(path) && here[path] && marked(path, here[path]) !== marked(path, model(path, content)) && (await standing(path, here[path])).answered) {
      fresh[`${EARLIER}${path.split('/').pop()} ${stamp()}.kept`] = textOf(here[path]);
      aside.push(path);
    }
    fresh[path] = content;
    taken.push(path);
    if (content === text || isExercise(path)) inFile[path] = marked(path, model(path, content));
  }
  if (!taken.length) throw new Error(`${file.name} holds no work of these lessons. Nothing was changed.`);
  await keep(fresh);
  const saved = noted(`${storeName()} saved`) || { when: '', marks: {} };
  note(`${storeName()} saved`, { when: saved.when || about.saved || '', marks: { ...saved.marks, ...inFile } });
  const by = member() ? ` of member ${member()}` : '';
  const kept = aside.length ? ' What you had answered here before differs; it is kept beside it and goes along when you save.' : '';
  const count = (number, word) => `${number} ${word}${number === 1 ? '' : 's'}`;
  const lessons = taken.filter((path) => /lesson-\d+\.json$/.test(path)).length;
  return `Opened: ${count(taken.filter(isExercise).length, 'exercise')} and ${count(lessons, 'lesson')}${by}.${kept}`;
}
