// The page's service worker. In: requests of the page; out: the files of this build, kept in the browser. The build puts its own
// hash and the list of its files in place of the two names below. What is not of the page is never answered, and never asked for.

const CACHE = `trees-and-works-${'BUILD'}`;
const FILES = ['FILES'];

self.addEventListener('install', (event) => {
  event.waitUntil(
    caches
      .open(CACHE)
      .then((cache) => cache.addAll(FILES))
      .then(() => self.skipWaiting()),
  );
});

self.addEventListener('activate', (event) => {
  const old = (names) => names.filter((name) => name.startsWith('trees-and-works-') && name !== CACHE);
  event.waitUntil(
    caches
      .keys()
      .then((names) => Promise.all(old(names).map((name) => caches.delete(name))))
      .then(() => self.clients.claim()),
  );
});

self.addEventListener('fetch', (event) => {
  if (event.request.method !== 'GET' || new URL(event.request.url).origin !== self.location.origin) return;
  event.respondWith(caches.match(event.request, { ignoreSearch: true }).then((kept) => kept ?? fetch(event.request)));
});
