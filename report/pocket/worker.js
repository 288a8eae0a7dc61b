"use strict";
// Keeps the page on the phone: all of its files at once, the old ones dropped, and answers from what is kept first.
const cache = "{{cache}}", files = ["./", "manifest.webmanifest", "icon-192.png", "icon-512.png"];
addEventListener("install", e => e.waitUntil(caches.open(cache).then(c => c.addAll(files)).then(() => skipWaiting())));
addEventListener("activate", e => e.waitUntil(caches.keys().then(names => Promise.all(names.filter(n => n.startsWith("bayproof ") && n !== cache).map(n => caches.delete(n)))).then(() => clients.claim())));
addEventListener("fetch", e => e.respondWith(caches.open(cache).then(c => c.match(e.request, {ignoreSearch: true})).then(r => r || fetch(e.request))));
