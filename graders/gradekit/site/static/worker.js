// Keeps the whole site in the browser, so that it works without network after the first time.
const VERSION = '{{version}}';
const FILES = {{files}};
const CACHE = `aerialstream ${VERSION}`;
const AT_ONCE = 4;

const bare = (address) => { const url = new URL(address); url.search = url.hash = ''; return url.href; };

self.addEventListener('activate', (event) => event.waitUntil((async () => {
  const names = await caches.keys();
  await Promise.all(names.filter((name) => name.startsWith('aerialstream ') && name !== CACHE).map((name) => caches.delete(name)));
  await self.clients.claim();
})()));

async function answer(event) {
  const { request } = event;
  const cache = await caches.open(CACHE), key = bare(request.url);
  const kept = await cache.match(key) || (key.endsWith('/') && await cache.match(`${key}index.html`));
  if (kept) return kept;
  const fresh = await fetch(request);
  if (fresh.ok && fresh.type === 'basic') event.waitUntil(cache.put(key, fresh.clone()).catch(() => {}));
  return fresh;
}

self.addEventListener('fetch', (event) => {
  const { request } = event;
  if (request.method === 'GET' && request.url.startsWith(self.registration.scope)) event.respondWith(answer(event));
});

async function keepAll(client) {
  const cache = await caches.open(CACHE), there = new Set((await cache.keys()).map((request) => request.url));
  const all = FILES.map((name) => new URL(name.split('/').map(encodeURIComponent).join('/').replaceAll('%40', '@'), self.registration.scope).href);
  const missing = all.filter((address) => !there.has(address));
  let kept = all.length - missing.length, failed = false;
  const tell = () => client?.postMessage({ kept, of: all.length, failed });
  const fetchOn = async () => {
    for (let address = missing.pop(); address && !failed; address = missing.pop()) {
      try {
        const fresh = await fetch(address, { cache: 'no-cache' });
        if (!fresh.ok) throw new Error(String(fresh.status));
        await cache.put(address, fresh);
        kept++;
        if (kept % 20 === 0) tell();
      } catch { failed = true; }
    }
  };
  await Promise.all(Array.from({ length: AT_ONCE }, fetchOn));
  tell();
}

self.addEventListener('message', (event) => {
  if (event.data === 'take over') self.skipWaiting();
  if (event.data === 'keep all') event.waitUntil(keepAll(event.source));
});
