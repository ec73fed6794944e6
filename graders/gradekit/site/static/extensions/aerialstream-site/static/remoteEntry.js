// What the lessons need in the browser besides the desktop's extension, written by hand likewise.
//
// It carries the member's files between the browser's storage and the kernel's study folder. The
// storage is the one that the page keeps its notebooks in, so no service worker and no shared memory
// is needed: it also works where the address is plain http. The bar at the top is `lesson.js`.
(function () {
  const NAME = 'aerialstream-site';
  const TYPED = 1500;  // ms without a change before an exercise is kept
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

  let owed = {};  // what the kernel has told and the storage has not taken yet

  async function bringOut(kernel) {
    const { say, work } = window.aerialstreamSite;
    const text = await told(kernel, 'from gradekit.site import in_browser as _carry\n_carry.tell()');
    const news = owed = { ...owed, ...(text.trim() ? JSON.parse(text) : {}) };
    if (!Object.keys(news).length) return;
    try {
      await work.take(news);
      if (owed === news) owed = {};
    } catch (error) {
      say(`Not kept, this browser's storage refuses: ${error.message}`);
      throw error;
    }
  }

  function carry(panel) {
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
    window.aerialstreamSite.told = (code) => told(panel.sessionContext.session.kernel, code);
    window.aerialstreamSite.flush = async () => {
      const kernel = panel.sessionContext?.session?.kernel;
      const written = kernel && Promise.race([bringOut(kernel), new Promise((done) => setTimeout(done, 3000))]).catch(() => {});
      await keepPage(panel);
      await written;
    };
    if (panel.context.path.startsWith('assignments/')) keepWhileTyping(panel);
  }

  async function keepPage(panel) {
    if (panel.context.model.dirty) await panel.context.save();
  }

  // Answers are kept as they are typed: the page's own rhythm is too slow for a lid that is closed.
  function keepWhileTyping(panel) {
    let due = 0;
    panel.context.model.contentChanged.connect(() => {
      clearTimeout(due);
      due = setTimeout(() => { if (!panel.isDisposed) keepPage(panel).catch(() => {}); }, TYPED);
    });
  }

  async function build() {
    const { INotebookTracker } = await shared('@jupyterlab/notebook');
    return {
      id: `${NAME}:plugin`,
      autoStart: true,
      requires: [INotebookTracker],
      activate: (app, tracker) => {
        const { ready } = window.aerialstreamSite;
        app.restored.then(() => app.shell.menu?.hide());
        // Asked for by the desktop's extension before it runs a page.
        window.aerialstreamBeforeRun = (panel) => layIn(panel.sessionContext.session.kernel);
        window.aerialstreamAfterRun = ready;
        tracker.widgetAdded.connect(async (sender, panel) => {
          await panel.context.ready;
          carry(panel);
          await panel.revealed;
          document.getElementById('waiting')?.remove();
          // As in the desktop's extension: what is not ours waits for "Run all".
          const trusted = panel.content.widgets.every((cell) => cell.model.type !== 'code' || cell.model.trusted);
          if (!trusted || !(panel.context.model.getMetadata('aerialstream') || {}).run_on_open) {
            panel.sessionContext.ready.then(() => panel.sessionContext.session?.kernel?.info).then(ready);
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
