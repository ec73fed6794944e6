// What the lessons need in the browser besides the desktop's extension, written by hand likewise.
//
// It carries the member's files between the browser's storage and the kernel's study folder, and
// puts a bar with "Start page" and "Save my work" at the top. The storage is the one that the page
// keeps its notebooks in, so no service worker and no shared memory is needed: it also works where
// the address is plain http.
(function () {
  const NAME = 'aerialstream-site';
  const QUIET = 400;  // ms without a message before the kernel is asked what has changed
  let scope;

  async function shared(name) {
    const versions = scope[name];
    const entry = versions[Object.keys(versions)[0]];
    return (await entry.get())();
  }

  // Runs code beside the lesson; gives what it printed.
  async function told(kernel, code) {
    let text = '';
    const future = kernel.requestExecute({ code, silent: true, store_history: false, stop_on_error: false });
    ours.add(future.msg.header.msg_id);
    future.onIOPub = (message) => {
      if (message.header.msg_type === 'stream' && message.content.name === 'stdout') text += message.content.text;
    };
    await future.done;
    return text;
  }

  const ours = new Set();

  async function layIn(kernel) {
    const files = JSON.stringify(JSON.stringify(await window.aerialstreamSite.work.progress()));
    await told(kernel, `import json as _json\nfrom gradekit.site import in_browser as _carry\n_carry.lay_in(_json.loads(${files}))`);
  }

  async function bringOut(kernel) {
    const text = await told(kernel, 'from gradekit.site import in_browser as _carry\n_carry.tell()');
    const news = text.trim() ? JSON.parse(text) : {};
    if (Object.keys(news).length) await window.aerialstreamSite.work.keep(news);
  }

  function carry(panel, state) {
    const watched = new WeakSet();
    let due = 0;
    const soon = () => {
      clearTimeout(due);
      due = setTimeout(() => {
        const kernel = panel.sessionContext?.session?.kernel;
        if (kernel && !panel.isDisposed) bringOut(kernel).catch(() => {});
      }, QUIET);
    };
    const connect = (kernel) => {
      if (!kernel || watched.has(kernel)) return;
      watched.add(kernel);
      kernel.iopubMessage.connect((sender, message) => {
        if (ours.has(message.parent_header?.msg_id)) return;
        if (message.header.msg_type === 'status' && message.content.execution_state === 'idle') soon();
      });
      kernel.info.then(() => layIn(kernel)).catch(() => {});
    };
    panel.sessionContext.kernelChanged.connect((sender, change) => connect(change.newValue));
    connect(panel.sessionContext.session?.kernel);
    state.flush = async () => {
      const kernel = panel.sessionContext?.session?.kernel;
      if (kernel) await Promise.race([bringOut(kernel), new Promise((done) => setTimeout(done, 3000))]).catch(() => {});
      await panel.context.save();
    };
  }

  function bar(Widget, state) {
    const { root, title } = window.aerialstreamSite;
    const node = document.createElement('div');
    node.className = 'as-bar';
    node.innerHTML = '<a class="as-go" href=""><span aria-hidden="true">◀</span> Start page</a><span class="as-title"></span><span class="as-state" role="status"></span><button type="button">Save my work</button>';
    const [back, words, status, save] = node.children;
    back.href = root;
    words.textContent = title;
    state.say = (text) => { status.textContent = text; };
    back.addEventListener('click', (event) => { event.preventDefault(); go(root, state); });
    save.addEventListener('click', async () => {
      save.disabled = true;
      try {
        await state.flush?.();
        state.say(`Saved as “${await window.aerialstreamSite.work.save()}”`);
      } catch (error) {
        state.say(`Not saved: ${error.message}`);
      }
      save.disabled = false;
    });
    const widget = new Widget({ node });
    widget.id = 'aerialstream-bar';
    return widget;
  }

  async function go(address, state) {
    await Promise.race([state.flush?.(), new Promise((done) => setTimeout(done, 4000))]).catch(() => {});
    location.href = address;
  }

  // Links of a lesson to the start page, the glossary and the exercises stay within the site.
  function followLinks(state) {
    const { root } = window.aerialstreamSite;
    document.addEventListener('click', (event) => {
      const link = event.target.closest?.('.jp-RenderedMarkdown a, .as-said a');
      if (!link) return;
      let to = link.getAttribute('href') || '', place = '';
      try {
        const given = JSON.parse(link.dataset.commandlinkerArgs || 'null');
        if (given?.path) { to = given.path; place = given.id || ''; }
      } catch { /* an ordinary link */ }
      const [path, hash] = decodeURIComponent(to.replace(/^.*\/files\//, '')).split('#');
      const stop = () => { event.preventDefault(); event.stopImmediatePropagation(); };
      if (path.endsWith('start.md')) { stop(); go(root, state); }
      else if (path.endsWith('glossary.md')) { stop(); window.open(`${root}glossary.html${place || (hash ? `#${hash}` : '')}`, '_blank'); }
      else if (path.endsWith('my-manual-sheet.html')) { stop(); showSheet(); }
      else if (path.endsWith('.ipynb')) { stop(); go(`${root}notebooks/index.html?path=${encodeURIComponent(path)}`, state); }
    }, true);
  }

  async function showSheet() {
    const files = await window.aerialstreamSite.work.all();
    const sheet = files['my-manual-sheet.html'];
    if (!sheet) return;
    const page = URL.createObjectURL(new Blob([window.aerialstreamSite.work.textOf(sheet)], { type: 'text/html' }));
    window.open(page, '_blank');
  }

  async function build() {
    const { INotebookTracker } = await shared('@jupyterlab/notebook');
    const { Widget } = await shared('@lumino/widgets');
    const state = { flush: null, say: () => {} };
    return {
      id: `${NAME}:plugin`,
      autoStart: true,
      requires: [INotebookTracker],
      activate: (app, tracker) => {
        app.shell.add(bar(Widget, state), 'top', { rank: 0 });
        followLinks(state);
        state.say('Getting the controls ready …');
        // Asked for by the desktop's extension before it runs a page.
        window.aerialstreamBeforeRun = async (panel) => layIn(panel.sessionContext.session.kernel);
        window.aerialstreamAfterRun = () => state.say('');
        tracker.widgetAdded.connect(async (sender, panel) => {
          await panel.context.ready;
          carry(panel, state);
          await panel.revealed;
          document.getElementById('waiting')?.remove();
          if (!(panel.context.model.getMetadata('aerialstream') || {}).run_on_open) {
            panel.sessionContext.ready.then(() => panel.sessionContext.session?.kernel?.info).then(() => state.say(''));
          }
        });
      },
    };
  }

  window._JUPYTERLAB = window._JUPYTERLAB || {};
  window._JUPYTERLAB[NAME] = {
    init: async (given) => { scope = given; },
    get: async () => {
      const plugin = await build();
      return () => ({ __esModule: true, default: plugin });
    },
  };
})();
