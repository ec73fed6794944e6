// The start page: who is here, what is next, what is not saved yet.
import * as work from './work.js';

const $ = (id) => document.getElementById(id);
const today = () => { const now = new Date(); return `${now.getFullYear()}-${String(now.getMonth() + 1).padStart(2, '0')}-${String(now.getDate()).padStart(2, '0')}`; };
const address = (path) => `notebooks/index.html?path=${encodeURIComponent(path)}`;
const exercisePath = (lesson) => `assignments/${lesson.assignment}/${lesson.assignment}.ipynb`;
const READING = 6000;  // ms on this page before the whole site is fetched
let site;

function element(tag, className, text) {
  const made = document.createElement(tag);
  if (className) made.className = className;
  if (text) made.textContent = text;
  return made;
}

function say(id, words) {
  $(id).textContent = words;
  $(id).hidden = !words;
}

// The same day some months later, or that month's last.
function monthsLater(day, months) {
  const [year, month, date] = day.split('-').map(Number);
  const last = new Date(year, month + months, 0).getDate();
  const later = new Date(year, month - 1 + months, Math.min(date, last));
  return `${later.getFullYear()}-${String(later.getMonth() + 1).padStart(2, '0')}-${String(later.getDate()).padStart(2, '0')}`;
}

// Where a member stands with a lesson, from what its page has kept.
function standing(lesson, files) {
  const kept = files[`my progress/lesson-${lesson.number}.json`];
  let checks = {};
  try { checks = kept ? JSON.parse(work.textOf(kept)).checks || {} : {}; } catch { /* set aside by the lesson itself */ }
  const right = lesson.checks.filter((name) => checks[name]?.first_right);
  const days = right.map((name) => checks[name].last_right || checks[name].first_right).sort();
  const done = lesson.checks.length > 0 && right.length === lesson.checks.length;
  const due = done && lesson.months ? monthsLater(days[0], lesson.months) : '';
  const open = lesson.checks.length ? 1 - right.length / lesson.checks.length : 1;
  const minutes = done ? 0 : Math.max(1, Math.round(lesson.minutes * open));
  return { begun: Boolean(kept), done, on: days[0], due, right: right.length, minutes };
}

function inWords(lesson, now) {
  if (now.done && now.due && now.due <= today()) return `refresh now: ${lesson.minutes} minutes`;
  if (now.done) return `✓ done ${now.on}${now.due ? `, refresh by ${now.due}` : ''}`;
  if (!now.begun) return `${lesson.minutes} minutes`;
  return `${now.right} of ${lesson.checks.length} checks, about ${now.minutes} minutes left`;
}

async function exerciseRow(lesson, files) {
  const row = element('div', 'exercise'), path = exercisePath(lesson), mine = files[path];
  const link = element('a', 'button', mine ? 'Go on with the graded exercise' : 'Graded exercise');
  link.href = address(path);
  link.addEventListener('click', async (event) => {
    event.preventDefault();
    if (!work.member()) { say('who-said', 'For a graded exercise type your member number first: its numbers follow from it.'); $('number').focus(); return; }
    try { await work.prepare(path); location.href = link.href; } catch (error) { say('keep-said', `The exercise could not be opened: ${error.message}`); }
  });
  row.append(link);
  if (mine) {
    const now = await work.standing(path, mine);
    if (now.known) row.append(element('span', '', `${now.answered} of ${now.of} answered`));
    if (now.answered) {
      const give = element('button', '', 'Hand in');
      give.type = 'button';
      give.addEventListener('click', async () => {
        try { say('keep-said', `Written: “${await work.handIn(path)}”. Give this file to your instructor.`); } catch (error) { say('keep-said', `Not written: ${error.message}`); }
      });
      row.append(give);
    }
  }
  return row;
}

async function lessonRow(lesson, files) {
  const now = standing(lesson, files), row = element('li');
  const link = element('a', 'name', `${lesson.number} ${lesson.title}`);
  link.href = address(lesson.notebook);
  row.append(link, element('span', now.done ? 'stands done' : 'stands', inWords(lesson, now)), element('span', 'asks', lesson.question));
  if (lesson.assignment) row.append(await exerciseRow(lesson, files));
  return row;
}

function showNext(files) {
  const rows = site.lessons.map((lesson) => [lesson, standing(lesson, files)]);
  const due = rows.find(([, now]) => now.done && now.due && now.due <= today());
  const next = rows.find(([, now]) => now.begun && !now.done) || rows.find(([, now]) => !now.done) || due;
  $('next').hidden = !next;
  if (next) {
    const [lesson, now] = next;
    $('next-link').href = address(lesson.notebook);
    $('next-link').replaceChildren(`${now.begun ? 'Go on with' : 'Read'} ${lesson.number} ${lesson.title}`, element('small', '', `about ${now.minutes || lesson.minutes} minutes. ${lesson.question}`));
  }
  const done = rows.filter(([, now]) => now.done).length;
  $('sum').textContent = `Done: ${done} of ${rows.length} lessons. Still to do: about ${rows.reduce((sum, [, now]) => sum + now.minutes, 0)} minutes.`;
}

function showWho() {
  const who = work.member();
  $('who-form').hidden = Boolean(who);
  $('you').hidden = !who;
  $('who-title').textContent = who ? 'You are' : 'Who are you?';
  $('you-number').textContent = who ? `Member ${who}` : '';
  $('known').replaceChildren(...work.members().map((one) => {
    const button = element('button', '', one);
    button.type = 'button';
    button.addEventListener('click', () => become(one));
    return button;
  }));
}

function nameOf(path) {
  const exercise = site.lessons.find((one) => one.assignment && path === exercisePath(one));
  if (exercise) return `the exercise to ${exercise.number}`;
  const checked = /exercise-(.+)\.json$/.exec(path);
  if (checked) return nameOf(`assignments/${checked[1]}/${checked[1]}.ipynb`);
  const lesson = /lesson-(\d+)\.json$/.exec(path);
  if (lesson) return `lesson ${lesson[1]}`;
  return path.startsWith('earlier work/') ? 'an earlier exercise' : 'your manual sheet';
}

function showUnsaved(files) {
  const { paths, when } = work.unsaved(files), box = $('unsaved');
  box.className = paths.length ? 'warn' : '';
  if (paths.length) {
    const names = [...new Set(paths.map(nameOf))].sort();
    box.textContent = `Only in this browser so far: ${names.join(', ')}. Save it to a file before you leave this device.`;
  } else {
    box.textContent = when ? `All of it is in a file (last saved ${new Date(when).toLocaleString()}).` : 'Nothing to save yet.';
  }
}

async function show() {
  const files = await work.all();
  showWho();
  showNext(files);
  showUnsaved(files);
  $('lessons').replaceChildren(...await Promise.all(site.lessons.map((lesson) => lessonRow(lesson, files))));
  document.body.dataset.ready = 'yes';
}

async function become(number) {
  try {
    await work.workAs(number);
    await work.refresh(site);
    say('who-said', '');
    navigator.storage?.persist?.().catch(() => {});
  } catch (error) {
    say('who-said', error.message);
  }
  await show();
}

function connect() {
  $('who-form').addEventListener('submit', (event) => { event.preventDefault(); become($('number').value); });
  $('someone-else').addEventListener('click', async () => { await become(''); $('number').value = ''; $('number').focus(); });
  $('save').addEventListener('click', async () => {
    try { say('keep-said', `Written: “${await work.save()}”. It lies where this browser puts downloads.`); } catch (error) { say('keep-said', `Not saved: ${error.message}`); }
    await show();
  });
  $('open').addEventListener('click', () => $('file').click());
  $('file').addEventListener('change', async () => {
    const [file] = $('file').files;
    $('file').value = '';
    if (!file) return;
    try { say('keep-said', await work.open(file)); } catch (error) { say('keep-said', error.message); }
    await show();
  });
  // Back from a lesson by the browser's own button: show how things stand now.
  window.addEventListener('pageshow', (event) => { if (event.persisted) show(); });
}

// --- without network ------------------------------------------------------------------------------

async function keepSite() {
  const away = $('away');
  if (!navigator.serviceWorker) {
    away.textContent = window.isSecureContext ? '' : 'At this address (http) the site works only while it is reached. Over https it would also work without network.';
    return;
  }
  navigator.serviceWorker.addEventListener('message', ({ data }) => {
    if (data.kept === undefined) return;
    away.textContent = data.failed ? 'Not all of the site could be kept for use without network; it is tried again next time.' : data.kept < data.of ? `Being kept for use without network: ${Math.floor((100 * data.kept) / data.of)} %` : 'Kept: works without network on this device.';
  });
  const registered = await navigator.serviceWorker.register('worker.js');
  const offer = () => { $('newer').hidden = !registered.waiting; };
  registered.addEventListener('updatefound', () => registered.installing?.addEventListener('statechange', offer));
  offer();
  $('newer').addEventListener('click', () => {
    navigator.serviceWorker.addEventListener('controllerchange', () => location.reload());
    registered.waiting?.postMessage('take over');
  });
  const { active } = await navigator.serviceWorker.ready;
  // Whoever goes on to a lesson at once is not kept waiting; the lesson's page asks for it then.
  setTimeout(() => active.postMessage('keep all'), READING);
}

async function start() {
  if (window.aerialstreamLacks?.length) return;
  site = await (await fetch('site.json')).json();
  await work.refresh(site);
  connect();
  await show();
  await keepSite().catch(() => {});
}

start().catch((error) => say('who-said', `This page cannot keep your work: ${error.message}. Allow this site to store data, or leave the private window.`));
