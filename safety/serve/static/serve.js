// Counts down, keeps taps that could not be sent, and asks for news. Every page works without it.
"use strict";
(() => {
  const POLL = 5000, SOON = 1000, TICK = 250, JUMP = 5000, OLD = 30000;
  const QUEUE = "hazstep-queue", ASIDE = "hazstep-aside", AHEAD = "hazstep-ahead";
  let ahead = Number(localStorage.getItem(AHEAD)); // the server's clock minus this one's [ms], as last heard
  let heard = 0; // this clock, when the server was last heard
  let last = Date.now(); // this clock, at the last tick
  let sending = false, asking = false, cutOff = false, typed = false;

  const body = document.body;
  const find = (what, where = document) => where.querySelector(what);
  const now = () => Date.now() + ahead;
  const waits = () => JSON.parse(localStorage.getItem(QUEUE) || "[]");
  const keep = (queue) => localStorage.setItem(QUEUE, JSON.stringify(queue));

  function hear(seconds) {
    ahead = seconds * 1000 - Date.now();
    heard = last = Date.now();
    cutOff = false;
    localStorage.setItem(AHEAD, ahead);
  }

  // What a page says of the time; one that was kept on the tablet is as old as it is.
  const hearPage = () => body.dataset.kept === undefined ? hear(Number(body.dataset.now)) : (cutOff = true);

  // ---------------------------------------------------------------- clocks

  function told(ms) {
    const all = Math.max(0, Math.ceil(ms / 1000)), two = (n) => String(n).padStart(2, "0");
    const h = Math.floor(all / 3600), m = Math.floor(all / 60) % 60, s = all % 60;
    return h ? `${h}:${two(m)}:${two(s)}` : `${m}:${two(s)}`;
  }

  function tick() {
    const jumped = Math.abs(Date.now() - last - TICK) > JUMP;
    last = Date.now();
    if (jumped) { // the tablet slept, or somebody set its clock: nothing is shown or pressed before the server is asked
      find("main").inert = true;
      for (const one of document.querySelectorAll("[data-until]")) one.textContent = "-:--";
      news(true);
      return;
    }
    if (find("main").inert) return;
    for (const one of document.querySelectorAll("[data-until]")) {
      const left = Number(one.dataset.until) * 1000 - now();
      one.textContent = told(left);
      const early = (one.dataset.sound || "").split(" ").find((at) => at && Math.abs(left - at * 1000) <= TICK && one.dataset.heard !== at);
      if (early) { one.dataset.heard = early; sound(); }
      if (left <= 0 && one.dataset.over === undefined) {
        one.dataset.over = "";
        if (one.dataset.then !== undefined) news(true);
      }
    }
    strip();
  }

  function strip() {
    const one = find("#strip"), queue = waits(), aside = localStorage.getItem(ASIDE);
    if (!one) return;
    const said = [];
    if (cutOff || Date.now() - heard > OLD) said.push(one.dataset.offline);
    if (queue.length) said.push((queue.length === 1 ? one.dataset.one : one.dataset.many).replace("{n}", queue.length));
    if (aside) said.push(`${one.dataset.aside} ${aside}`);
    const words = said.join(" ");
    if (one.textContent !== words) one.textContent = words;
    one.hidden = !words;
  }

  // ---------------------------------------------------------------- sound, and a screen that stays on

  let audio, lock; // a browser gives either only after a tap, or not at all: the page says which it has
  const mute = () => !audio || audio.state !== "running", dark = () => !lock || lock.released;

  function sound() {
    if (navigator.vibrate) navigator.vibrate([300, 150, 300]);
    for (let at = 0; !mute() && at < 3; at++) { // a high tone, a low one and a high one
      const tone = new OscillatorNode(audio, { frequency: at === 1 ? 660 : 880 });
      tone.connect(audio.destination);
      tone.start(audio.currentTime + at * 0.3);
      tone.stop(audio.currentTime + at * 0.3 + 0.25);
    }
  }

  async function stayOn() {
    try {
      audio ||= new AudioContext();
      await audio.resume();
      if (dark() && find("#senses")) lock = await navigator.wakeLock.request("screen");
    } catch { /* what is not given is said */ }
    senses();
  }

  function senses() {
    const one = find("#senses");
    if (one) one.textContent = [mute() && one.dataset.quiet, dark() && one.dataset.dark].filter(Boolean).join(" ");
  }

  // ---------------------------------------------------------------- pages

  const isTyping = () => typed || Boolean(document.activeElement && document.activeElement.matches("input, textarea, select"));

  const alerts = () => [...document.querySelectorAll("main [role=alert]")].map((one) => one.textContent).join();

  // Put a page in the place of this one; while somebody types, or help is open, only its strips and clocks.
  function show(html, address, whole) {
    const page = new DOMParser().parseFromString(html, "text/html");
    if (!whole && (isTyping() || find("dialog[open]"))) {
      for (const one of page.querySelectorAll("[data-live]")) {
        const here = document.getElementById(one.id);
        if (here) here.replaceWith(one);
      }
    } else {
      const open = [...document.querySelectorAll("details[open][id]")].map((one) => one.id);
      const at = document.activeElement && document.activeElement.id, y = scrollY, said = alerts();
      const same = address === undefined || new URL(address, location.href).pathname === location.pathname;
      body.replaceChildren(...page.body.childNodes);
      typed = false;
      document.title = page.title;
      if (!same) history.pushState(null, "", address);
      for (const id of open) { const one = document.getElementById(id); if (one && same) one.open = true; }
      scrollTo(0, same && alerts() === said ? y : 0); // what interrupts is on top
      const focus = (at && document.getElementById(at)) || (same ? null : find("h1"));
      if (focus) focus.focus({ preventScroll: true });
      if (alerts() && alerts() !== said) sound();
    }
    for (const name of ["now", "news", "version", "person"]) body.dataset[name] = page.body.dataset[name];
    delete body.dataset.kept;
    hearPage();
    begin();
    tick();
  }

  async function news(force) {
    if (asking || !body.dataset.news) return;
    asking = true;
    try {
      const answer = await fetch(body.dataset.news, { signal: AbortSignal.timeout(4000) });
      if (!answer.ok) throw new Error(answer.status);
      const told = await answer.json();
      hear(told.now);
      if (force || told.version !== body.dataset.version) {
        const page = await fetch(location.href, { signal: AbortSignal.timeout(8000) });
        const html = await page.text();
        if (html.includes("<body data-kept")) throw new Error("kept");
        if (page.ok && !sending) show(html);
        body.dataset.version = told.version;
      }
    } catch { cutOff = true; } finally {
      asking = false;
      if (find("main")) find("main").inert = false;
      strip();
    }
  }

  // ---------------------------------------------------------------- taps

  async function send() {
    if (sending) return;
    sending = true;
    try {
      for (let queue = waits(); queue.length; queue = waits()) {
        const [first] = queue;
        const token = find("input[name=token]")?.value || first.fields.token; // of who is here now
        const fields = { ...first.fields, token, ago: String(Math.max(0, (Date.now() - first.made) / 1000)) };
        const answer = await fetch(first.to, { method: "POST", body: new URLSearchParams(fields), signal: AbortSignal.timeout(10000) });
        if (answer.status >= 500 || answer.status === 408) throw new Error(answer.status);
        const nobody = answer.redirected && new URL(answer.url).pathname === "/who";
        if (nobody || answer.status === 403) { // it waits until somebody has said who is here
          if (location.pathname !== "/who") location.assign("/who");
          return;
        }
        const html = await answer.text();
        keep(waits().filter((one) => one.fields.key !== first.fields.key));
        const good = answer.ok || answer.status === 409;
        if (!good) localStorage.setItem(ASIDE, find("h1", new DOMParser().parseFromString(html, "text/html"))?.textContent || answer.status);
        if (good && first.page === location.pathname) {
          show(html, answer.redirected ? answer.url : undefined, true);
          keepPage();
        }
      }
      cutOff = false;
    } catch { cutOff = true; } finally {
      sending = false;
      strip();
    }
  }

  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (!form.matches("form[data-tap]")) {
      if (waits().length && body.dataset.person) { // first what was tapped, then another name
        event.preventDefault();
        send();
      }
      return;
    }
    event.preventDefault();
    const fields = { ...Object.fromEntries(new FormData(form, event.submitter)), as: body.dataset.person };
    if (!waits().some((one) => gist(one.to, one.fields) === gist(form.action, fields))) keep([...waits(), { to: form.action, page: location.pathname, fields, made: Date.now() }]);
    waiting();
    typed = false;
    strip();
    send();
  });

  document.addEventListener("click", (event) => {
    const key = event.target.closest("[data-pad]"), help = event.target.closest("[data-help]");
    const shut = event.target.closest("[data-shut]");
    if (key) {
      const field = find("#amount"), sign = key.dataset.pad;
      if (sign === "back") field.value = field.value.slice(0, -1);
      else if (field.value.length < 7 && !(sign === "." && field.value.includes("."))) field.value += sign;
      typed = field.value !== "";
    } else if (shut) {
      const of = shut.closest("details");
      of.open = false;
      find("summary", of).focus();
    } else if (help && find("#help")) {
      event.preventDefault();
      const dialog = find("#help");
      if (help.dataset.help === "open") dialog.showModal();
      else dialog.close();
    }
  });

  // What stands behind a finding is fetched when it is opened; without a script its link leads there.
  document.addEventListener("toggle", async (event) => {
    const link = event.target.open && find("a[data-here]", event.target);
    if (!link || link.closest("details") !== event.target) return;
    try {
      const answer = await fetch(link.href, { signal: AbortSignal.timeout(60000) });
      const tree = answer.ok && find(".tree", new DOMParser().parseFromString(await answer.text(), "text/html"));
      if (tree) link.replaceWith(...tree.childNodes);
    } catch { /* the link stays */ }
  }, true);

  // What is typed into a form of a file is looked at while one types: its mistakes and the difference stand beside it.
  let looking = 0;
  async function look(form) {
    const fields = new URLSearchParams([...new FormData(form), ["do", "look"]]);
    try {
      const answer = await fetch(form.action, { method: "POST", body: fields, signal: AbortSignal.timeout(8000) });
      if (form.isConnected && (answer.ok || answer.status === 409)) show(await answer.text());
    } catch { /* it is looked at when it is sent */ }
  }

  document.addEventListener("input", (event) => {
    typed = true;
    const form = event.target.closest("form[data-check]");
    clearTimeout(looking);
    if (form) looking = setTimeout(look, 600, form);
  });
  addEventListener("beforeunload", (event) => { if (waits().length) event.preventDefault(); });
  addEventListener("popstate", () => location.reload());
  addEventListener("pageshow", (event) => { if (event.persisted) news(true); });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) { news(); if (lock) stayOn(); } });
  document.addEventListener("click", () => { if (mute() || dark()) stayOn(); });

  // By what two taps are one: a page that was drawn anew has other keys.
  const gist = (to, { kind, step, coat, value, key }) => [to, ...(kind ? [kind, step, coat, value] : [key])].join(" ");

  // What was tapped cannot be tapped again, after the page was opened anew neither.
  function waiting() {
    const made = waits().map((one) => gist(one.to, one.fields));
    for (const form of document.querySelectorAll("form[data-tap]")) {
      if (made.includes(gist(form.action, Object.fromEntries(new FormData(form))))) for (const one of form.querySelectorAll("button")) one.disabled = true;
    }
  }

  function begin() {
    waiting();
    senses();
  }

  // Have the tablet keep this page as it is now.
  const keepPage = () => navigator.serviceWorker?.controller && fetch(location.href).catch(() => {});

  if (navigator.serviceWorker) { // none on an address that is not encrypted, or not trusted
    navigator.serviceWorker.addEventListener("controllerchange", keepPage);
    navigator.serviceWorker.register("/worker.js").catch(() => {});
    if (!body.dataset.person) caches.delete("hazstep-pages");
  }
  document.documentElement.classList.add("js");
  hearPage();
  begin();
  tick();
  send();
  setInterval(tick, TICK);
  let asked = 0;
  setInterval(() => { // sooner while something is being worked out: it may be stricter
    const soon = find("[data-soon]") && !document.hidden ? SOON : POLL;
    if (Date.now() - asked < soon - 100) return;
    asked = Date.now();
    if (waits().length) send();
    else news();
  }, SOON);
})();
