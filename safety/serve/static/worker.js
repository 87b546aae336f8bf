// Keeps what runs on the tablet: without the network a page comes as it was last seen, and says so.
"use strict";
const FILES = "hazstep-files-BUILD", PAGES = "hazstep-pages", PATIENCE = 5000;
const OWN = ["/static/BUILD/NAMES"];
const KEPT = /^\/(run\/[^/]+(\/(amount|weigh)\/.*|\/waste|\/done|\/doors)?|emergency)?$/;

addEventListener("install", (event) => {
  skipWaiting();
  event.waitUntil(caches.open(FILES).then((files) => files.addAll(OWN)));
});

addEventListener("activate", (event) => {
  const old = async () => {
    for (const name of await caches.keys()) if (name !== FILES && name !== PAGES) await caches.delete(name);
    await clients.claim();
  };
  event.waitUntil(old());
});

addEventListener("fetch", (event) => {
  const { request } = event, url = new URL(request.url);
  if (request.method !== "GET" || url.origin !== location.origin) return;
  if (url.pathname.startsWith("/static/")) event.respondWith(caches.match(request).then((found) => found || fetch(request)));
  else if (KEPT.test(url.pathname)) event.respondWith(page(request));
});

async function page(request) {
  const pages = await caches.open(PAGES);
  const late = new Promise((_, fail) => setTimeout(fail, PATIENCE));
  const asked = fetch(request);
  try {
    const answer = await Promise.race([asked, late]);
    if (answer.status >= 500) throw answer.status;
    if (answer.ok && !answer.redirected) await pages.put(request, answer.clone());
    return answer;
  } catch {
    const found = await pages.match(request);
    if (!found) return asked;
    const text = (await found.text()).replace("<body ", "<body data-kept ");
    return new Response(text, { headers: { ...Object.fromEntries(found.headers), "cache-control": "no-store" } });
  }
}
