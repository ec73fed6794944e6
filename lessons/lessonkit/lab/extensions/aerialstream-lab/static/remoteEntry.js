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

  async function build() {
    const { INotebookTracker, NotebookActions } = await shared('@jupyterlab/notebook');
    const used = new Set();
    let app;

    async function kernelOf(panel) {
      await panel.context.ready;
      await panel.sessionContext.ready;
      for (let tries = 0; tries < 300 && !panel.sessionContext.session?.kernel; tries++) {
        await new Promise((done) => setTimeout(done, 100));
      }
      return panel.sessionContext.session?.kernel;
    }

    // A kernel that was already at work may hold controls that this page no longer shows; a fresh
    // one costs a second and always works.
    async function runAll(panel) {
      if (!panel || !(await kernelOf(panel))) {
        return;
      }
      await panel.sessionContext.session.kernel.info;  // not in the middle of its greeting
      if (used.has(panel.sessionContext.session.kernel.id)) {
        await panel.sessionContext.restartKernel();
      }
      used.add(panel.sessionContext.session.kernel.id);
      await NotebookActions.runCells(
        panel.content, panel.content.widgets.slice(), panel.sessionContext
      );
    }

    function trusted(panel) {
      return panel.content.widgets.every(
        (cell) => cell.model.type !== 'code' || cell.model.trusted
      );
    }

    async function onOpen(panel) {
      await panel.context.ready;
      await panel.revealed;
      const marks = panel.context.model.getMetadata('aerialstream') || {};
      if (!marks.run_on_open || !trusted(panel)) {
        return;
      }
      const running = [...app.serviceManager.sessions.running()];
      await kernelOf(panel);
      if (running.some((session) => session.path === panel.context.path)) {
        used.add(panel.sessionContext.session.kernel.id);
      }
      await runAll(panel);
      await panel.context.save();  // nothing was typed yet: no question when the page is left
    }

    return {
      id: `${NAME}:plugin`,
      autoStart: true,
      requires: [INotebookTracker],
      activate: (lab, tracker) => {
        app = lab;
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
