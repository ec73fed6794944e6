// Says plainly when a browser cannot run the lessons. Written so that the oldest one can read it.
(function () {
  var lacks = [];
  var need = function (there, words) { if (!there) { lacks.push(words); } };
  need(typeof WebAssembly === 'object', 'WebAssembly');
  need(typeof indexedDB !== 'undefined' && indexedDB, 'storage for your work');
  need('noModule' in document.createElement('script'), 'modules');
  need(typeof BigInt64Array === 'function', 'large numbers');
  need(typeof structuredClone === 'function', 'copies of data');
  need(typeof Array.prototype.at === 'function', 'newer lists');
  var asModule = false;
  try {
    new Worker('data:text/javascript,', { get type() { asModule = true; return 'module'; } }).terminate();
  } catch (error) { /* said below */ }
  need(asModule, 'workers of modules');
  try {
    // A tiny program with an exception in it, which the interpreter's own need.
    need(WebAssembly.validate(new Uint8Array([
      0, 97, 115, 109, 1, 0, 0, 0, 1, 4, 1, 96, 0, 0, 3, 2, 1, 0, 10, 8, 1, 6, 0, 6, 64, 25, 11, 11
    ])), 'exceptions in WebAssembly');
  } catch (error) { lacks.push('exceptions in WebAssembly'); }
  window.aerialstreamLacks = lacks;
  if (!lacks.length) { return; }
  var tell = function () {
    var box = document.getElementById('too-old');
    if (!box) { box = document.createElement('div'); box.id = 'too-old'; document.body.insertBefore(box, document.body.firstChild); }
    box.style.cssText = 'display:block;font:18px/1.5 sans-serif;padding:24px;max-width:640px;margin:0 auto';
    box.innerHTML = '<h1>This browser is too old</h1><p>The lessons need a newer one: Chrome, Edge, ' +
      'Firefox or Safari, not older than about two years. Update it, or use another tablet or a PC. ' +
      'On a station PC the lessons also run with <strong>python3 lessons</strong>.</p><p><small></small></p>';
    box.getElementsByTagName('small')[0].appendChild(document.createTextNode('It lacks: ' + lacks.join(', ') + '.'));
    var page = document.getElementById('page');
    if (page) { page.style.display = 'none'; }
  };
  if (document.body) { tell(); } else { document.addEventListener('DOMContentLoaded', tell); }
})();
