// Keys, copying, and a word when the desk falls silent. Everything else the server does; without this file the page works.
"use strict";
(() => {
  const typing = (element) => element && (element.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(element.tagName));
  const singleKeys = () => {
    try { return localStorage.getItem("single-keys") !== "off"; } catch { return true; }
  };

  document.addEventListener("keydown", (event) => {
    if (event.key === "Escape" && typing(document.activeElement)) { document.activeElement.blur(); return; }
    if (event.ctrlKey || event.metaKey || event.altKey || typing(event.target) || !singleKeys()) return;
    const key = event.key === "/" ? "f" : event.key.toLowerCase();
    if (key === "?") { location.href = "/help"; return; }
    const wanted = [...document.querySelectorAll("[accesskey], [data-key]")].find(
      (element) => !element.disabled && (element.accessKey === key || element.dataset.key === key),
    );
    if (!wanted) return;
    event.preventDefault();
    if (/^(INPUT|TEXTAREA|SELECT)$/.test(wanted.tagName)) { wanted.focus(); wanted.select?.(); } else wanted.click();
  });

  document.addEventListener("click", async (event) => {
    const button = event.target.closest?.("[data-copy]");
    if (!button) return;
    const held = document.getElementById(button.dataset.copy);
    try {
      await navigator.clipboard.writeText(held.value);
    } catch {
      held.select();
      document.execCommand("copy");
    }
    button.textContent = "Copied";
  });

  const show = () => {
    for (const button of document.querySelectorAll("[data-copy]")) button.hidden = false;
    const box = document.getElementById("single-keys");
    if (box) box.checked = singleKeys();
  };
  document.addEventListener("change", (event) => {
    if (event.target.id !== "single-keys") return;
    try { localStorage.setItem("single-keys", event.target.checked ? "on" : "off"); } catch { /* a private window keeps nothing */ }
  });
  document.addEventListener("DOMContentLoaded", show);
  document.addEventListener("htmx:after:swap", show);

  // Who taps faster than the desk answers is answered in turn. What was sent from a state that only this page has changed
  // since is sent from the state that came of it; else it would be held for a change by somebody else.
  const mine = new Map(); // of the job that is shown: a revision -> the next, where this page alone lies between
  let ofJob = "";
  const jobOf = (path) => String(path ?? "").match(/\/job\/([^/?#]+)/)?.[1] ?? "";
  const jobShown = () => jobOf(document.querySelector("#undo")?.getAttribute("action"));
  const stands = () => Number(document.querySelector("#undo [name=base_revision]")?.value);
  let sent = NaN;
  const keepToJob = () => {
    if (ofJob !== jobShown()) mine.clear(); // another job's states are no states of this one
    ofJob = jobShown();
  };
  // What is asked beside the sheet changes no state, and may come back between a tap and its answer.
  const isBeside = (event) => Boolean(event.detail?.ctx?.sourceElement?.closest?.("[data-beside]"));
  document.addEventListener("htmx:before:request", (event) => {
    if (isBeside(event)) return;
    keepToJob();
    const request = event.detail?.ctx?.request;
    sent = Number(request?.body?.get?.("base_revision") ?? NaN);
    if (jobOf(request?.action) !== ofJob) sent = NaN;
    while (mine.has(sent)) sent = mine.get(sent);
    if (sent) request.body.set("base_revision", sent);
  });
  document.addEventListener("htmx:after:swap", (event) => {
    if (isBeside(event)) return;
    const before = ofJob;
    keepToJob();
    const refused = document.getElementById("problem"); // then the next state is somebody else's
    if (sent && ofJob === before && !refused && stands() === sent + 1) mine.set(sent, sent + 1);
    sent = NaN;
  });

  // A form changes the page where it is; a link, or a job that is begun, goes to the head of a page or where it says.
  const arrive = () => {
    const at = document.getElementById("sheet")?.dataset.at;
    const place = at && document.getElementById(at);
    if (place) place.scrollIntoView(); else if (!location.hash) window.scrollTo(0, 0);
  };
  document.addEventListener("htmx:after:history:push", () => requestAnimationFrame(() => {
    const first = document.querySelector("[autofocus]");
    if (first) first.focus({ preventScroll: true }); else document.activeElement?.blur();
    arrive();
  }));
  document.addEventListener("DOMContentLoaded", () => { if (document.querySelector("[data-at]")) arrive(); });

  // A file may be dropped anywhere on the frame about its blank.
  document.addEventListener("dragover", (event) => { if (event.target.closest?.(".drop")) event.preventDefault(); });
  document.addEventListener("drop", (event) => {
    const blank = event.target.closest?.(".drop")?.querySelector('input[type="file"]');
    if (!blank || !event.dataTransfer?.files.length) return;
    event.preventDefault();
    blank.files = event.dataTransfer.files;
  });

  // Which layout of a chart this window shows: only that is drawn from now on.
  const narrow = window.matchMedia("(max-width: 50rem)");
  const tellLayout = () => { document.cookie = `layout=${narrow.matches ? "narrow" : "wide"}; path=/; samesite=strict`; };
  narrow.addEventListener("change", tellLayout);
  tellLayout();

  // What was changed on another page is told; an answer that has grown old is not copied out.
  const look = async () => {
    const number = document.querySelector("#undo")?.getAttribute("action")?.split("/")[2];
    if (!number || document.hidden || document.querySelector(".htmx-request")) return;
    const shown = stands();
    try {
      const held = await (await fetch(`/job/${number}/state`)).json();
      const old = held.revision > shown && stands() === shown;
      document.getElementById("old").hidden = !old;
      for (const button of document.querySelectorAll("[data-copy]")) button.disabled = old;
    } catch { /* the desk is silent, and the next answer says so */ }
  };
  setInterval(look, 4000);
  document.addEventListener("visibilitychange", look);
  document.addEventListener("htmx:after:swap", (event) => { if (!isBeside(event)) document.getElementById("old").hidden = true; });

  const silent = (yes) => { document.getElementById("silent").hidden = !yes; };
  document.addEventListener("htmx:error", () => silent(true));
  document.addEventListener("htmx:after:request", () => silent(false));
})();
