// A small JupyterLab extension, written by hand so that it needs no build step.
//
// It adds one command, `aerialstream:run-all`, which waits for the kernel (JupyterLab's own
// command drops cells that come too early) and leaves the reader where they are (JupyterLab's own
// jumps to the end). Notebooks whose metadata say `aerialstream.run_on_open` run by themselves
// when they are opened, if the server trusts them: those are the kit's own copies, signed when
// they were laid into the study folder.
(function () {
  const NAME = 'aerialstream-lab';
  let scope;

  async function shared(name) {
    const versions = scope[name];
    const entry = versions[Object.keys(versions)[0]];
    const factory = await entry.get();
    return factory();
  }


  const PLACE = 'my progress/place.json';

  // --- for those who listen -----------------------------------------------------------------

  // ipywidgets gives a slider's handle no name and its live text no role.
  function nameControls(root) {
    for (const handle of root.querySelectorAll('.noUi-handle:not([aria-label])')) {
      const label = handle.closest('.as-control')?.querySelector('.widget-label');
      if (label) handle.setAttribute('aria-label', label.textContent);
    }
    for (const field of root.querySelectorAll(
      '.as-control input:not([aria-label]), .as-control select:not([aria-label]),' +
      '.as-sheet input:not([aria-label]), .as-ask select:not([aria-label])'
    )) {
      const label = field.closest('.widget-vbox')?.querySelector('.widget-label');
      if (label && field.type !== 'checkbox') field.setAttribute('aria-label', label.textContent);
    }
    for (const live of root.querySelectorAll('.as-words:not([role]), .as-answer:not([role]), .as-how:not([role])')) {
      live.setAttribute('role', 'status');
    }
  }

  function watchControls(panel) {
    let due = 0;
    const look = () => { due = 0; nameControls(panel.node); };
    const observer = new MutationObserver(() => { due = due || setTimeout(look, 400); });
    observer.observe(panel.node, { childList: true, subtree: true });
    panel.disposed.connect(() => observer.disconnect());
    panel.node.addEventListener('click', (event) => {
      const button = event.target.closest?.('.as-copy');
      const box = button?.closest('.as-panel')?.querySelector('.as-set-up input');
      if (box) setTimeout(() => { navigator.clipboard?.writeText(box.value).catch(() => {}); }, 250);
    });
  }

  // --- the place on the page ----------------------------------------------------------------

  function headingOf(cells, index) {
    for (let n = index; n >= 0; n--) {
      const found = /^#+ (.*)$/m.exec(cells[n].model.sharedModel.getSource());
      if (found && cells[n].model.type === 'markdown') return found[1];
    }
    return '';
  }

  function cellInView(panel) {
    const top = panel.content.node.getBoundingClientRect().top + 60;
    const cells = panel.content.widgets;
    const index = cells.findIndex((cell) => cell.node.getBoundingClientRect().bottom > top);
    return index < 0 ? null : [cells[index].model.id, headingOf(cells, index)];
  }

  async function readPlaces(contents) {
    try {
      const file = await contents.get(PLACE, { type: 'file', format: 'text', content: true });
      return JSON.parse(file.content) || {};
    } catch {
      return {};
    }
  }

  function keepPlace(panel, contents) {
    let due = 0;
    const keep = async () => {
      due = 0;
      const place = !panel.isDisposed && panel.isVisible && cellInView(panel);
      if (!place) return;
      const places = await readPlaces(contents);
      if (places[panel.context.path]?.[0] === place[0]) return;
      places[panel.context.path] = place;
      const content = JSON.stringify(places);
      await contents.save(PLACE, { type: 'file', format: 'text', content }).catch(() => {});
      // The start page says where the reader stands.
      const code = 'import lessonkit.home; lessonkit.home.rewrite()';
      try {
        await panel.sessionContext.session?.kernel?.requestExecute({ code, silent: true, store_history: false }).done;
      } catch {
        // A kernel that is gone tells it at its next start.
      }
    };
    panel.content.node.addEventListener('scroll', () => {
      clearTimeout(due);
      due = setTimeout(keep, 1200);
    }, { capture: true, passive: true });
  }

  async function backToPlace(panel, contents) {
    const place = (await readPlaces(contents))[panel.context.path];
    const cell = place && panel.content.widgets.find((one) => one.model.id === place[0]);
    if (cell && panel.content.widgets.indexOf(cell) > 0) cell.node.scrollIntoView();
  }

  // --- one section at a time ----------------------------------------------------------------

  function sectionsOf(cells) {
    const sections = [];
    for (const cell of cells) {
      const text = cell.model.sharedModel.getSource();
      const heading = cell.model.type === 'markdown' && /^#+ (.*)$/m.exec(text);
      if (!sections.length || (heading && text.startsWith('#'))) {
        sections.push({ title: heading ? heading[1] : '', cells: [] });
      }
      sections[sections.length - 1].cells.push(cell);
    }
    return sections;
  }

  function showSections(panel) {
    if (panel.node.classList.contains('as-project')) return;
    const sections = sectionsOf(panel.content.widgets);
    const here = cellInView(panel);
    let at = Math.max(0, sections.findIndex((s) => s.cells.some((c) => here && c.model.id === here[0])));
    const bar = document.createElement('div');
    bar.className = 'as-sections';
    bar.setAttribute('role', 'toolbar');
    bar.setAttribute('aria-label', 'Sections');
    const make = (words, call) => {
      const button = document.createElement('button');
      button.textContent = words;
      button.addEventListener('click', call);
      bar.append(button);
      return button;
    };
    const show = (to) => {
      at = Math.min(Math.max(to, 0), sections.length - 1);
      sections.forEach((section, n) => section.cells.forEach(
        (cell) => cell.node.classList.toggle('as-off', n !== at)
      ));
      words.textContent = `${at + 1} of ${sections.length}: ${sections[at].title}`;
      back.disabled = at === 0;
      on.disabled = at === sections.length - 1;
      panel.content.node.scrollTop = 0;
      (panel.content.node.querySelector('.jp-WindowedPanel-outer') || {}).scrollTop = 0;
      window.dispatchEvent(new Event('resize'));
    };
    const back = make('◀ Back', () => show(at - 1));
    const words = document.createElement('span');
    words.setAttribute('role', 'status');
    bar.append(words);
    const on = make('Next ▶', () => show(at + 1));
    const end = () => {
      panel.node.classList.remove('as-project');
      bar.remove();
      document.removeEventListener('keydown', keys, true);
      const cell = sections[at].cells[0];
      panel.content.widgets.forEach((one) => one.node.classList.remove('as-off'));
      cell.node.scrollIntoView();
    };
    make('Whole page', end);
    const keys = (event) => {
      if (!panel.isVisible || event.target.closest?.('input, select, textarea, .noUi-handle, .cm-editor')) return;
      const step = { ArrowRight: 1, PageDown: 1, ArrowLeft: -1, PageUp: -1 }[event.key];
      if (step) show(at + step);
      else if (event.key === 'Escape') end();
      else return;
      event.preventDefault();
      event.stopPropagation();
    };
    panel.node.classList.add('as-project');
    panel.node.append(bar);
    document.addEventListener('keydown', keys, true);
    panel.disposed.connect(() => document.removeEventListener('keydown', keys, true));
    show(at);
    on.focus();
  }

  async function build() {
    const { INotebookTracker, NotebookActions } = await shared('@jupyterlab/notebook');
    const { IDocumentManager } = await shared('@jupyterlab/docmanager');
    const used = new Set();
    let app;

    async function kernelOf(panel) {
      await panel.context.ready;
      await panel.sessionContext.ready;
      for (let tries = 0; tries < 1800 && !panel.sessionContext.session?.kernel; tries++) {
        await new Promise((done) => setTimeout(done, 100));
      }
      return panel.sessionContext.session?.kernel;
    }

    // A page at work says so in words; the browser edition has words of its own.
    async function saying(panel, words, work) {
      const line = document.createElement('div');
      line.className = 'as-at-work';
      line.setAttribute('role', 'status');
      if (!window.aerialstreamSite) panel.node.append(line);
      line.textContent = words;
      try {
        return await work();
      } finally {
        line.remove();
      }
    }

    // A kernel that was already at work may hold controls that this page no longer shows; a fresh
    // one costs a second and always works.
    const runAll = (panel) =>
      panel && saying(panel, 'Getting the page ready …', () => runCells(panel));

    async function runCells(panel) {
      if (!(await kernelOf(panel))) {
        return;
      }
      await panel.sessionContext.session.kernel.info;  // not in the middle of its greeting
      // In the browser edition a kernel lives and dies with its page, and a fresh one takes long.
      if (used.has(panel.sessionContext.session.kernel.id) && !window.aerialstreamBeforeRun) {
        await panel.sessionContext.restartKernel();
      }
      used.add(panel.sessionContext.session.kernel.id);
      await window.aerialstreamBeforeRun?.(panel);
      await NotebookActions.runCells(
        panel.content, panel.content.widgets.slice(), panel.sessionContext
      );
      window.aerialstreamAfterRun?.(panel);
    }

    function trusted(panel) {
      return panel.content.widgets.every(
        (cell) => cell.model.type !== 'code' || cell.model.trusted
      );
    }

    // Two savings at once take each other for a stranger's and ask which file to keep.
    function saveInTurn(context) {
      const save = context.save.bind(context);
      let last = Promise.resolve();
      context.save = (...given) => {
        last = last.catch(() => {}).then(() => save(...given));
        return last;
      };
    }

    async function onOpen(panel) {
      saveInTurn(panel.context);
      await panel.context.ready;
      await panel.revealed;
      const marks = panel.context.model.getMetadata('aerialstream') || {};
      watchControls(panel);
      if (!marks.run_on_open || !trusted(panel)) {
        return;
      }
      const running = [...app.serviceManager.sessions.running()];
      await saying(panel, 'Getting the page ready …', () => kernelOf(panel));
      if (running.some((session) => session.path === panel.context.path)) {
        used.add(panel.sessionContext.session.kernel.id);
      }
      keepPlace(panel, app.serviceManager.contents);
      let busy = false;  // who has begun to read is not moved away
      for (const sign of ['wheel', 'touchmove', 'keydown', 'pointerdown']) {
        panel.node.addEventListener(sign, () => { busy = true; }, { once: true, capture: true, passive: true });
      }
      await runAll(panel);
      if (!busy) await backToPlace(panel, app.serviceManager.contents);
      await panel.context.save();  // nothing was typed yet: no question when the page is left
    }

    return {
      id: `${NAME}:plugin`,
      autoStart: true,
      requires: [INotebookTracker, IDocumentManager],
      activate: (lab, tracker, documents) => {
        app = lab;
        // The start page is written anew as things are done; show it as it is now.
        app.shell.currentChanged?.connect((shell, change) => {
          const context = change.newValue && documents.contextForWidget(change.newValue);
          if (context?.path === 'start.md' && context.isReady) context.revert().catch(() => {});
        });
        app.commands.addCommand('aerialstream:sections', {
          label: 'Section by section',
          caption: 'One section at a time in large type, for a room; Escape ends it',
          describedBy: { args: {} },
          execute: () => tracker.currentWidget && showSections(tracker.currentWidget),
        });
        app.commands.addCommand('aerialstream:run-all', {
          label: 'Run all',
          caption: 'Run the whole page again; you stay where you are',
          describedBy: { args: {} },
          execute: () => runAll(tracker.currentWidget),
        });
        tracker.widgetAdded.connect((sender, panel) => onOpen(panel));
      },
    };
  }

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB[NAME] = {
    init: async (given) => {
      scope = given;
    },
    get: async (module) => {
      const plugin = await build();
      return () => ({ __esModule: true, default: plugin });
    },
  };
})();
