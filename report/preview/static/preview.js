// Follows the spec: swaps the report when a new good one is there, and says
// what is wrong when the spec cannot be used.
"use strict";
(() => {
  const body = document.body.dataset;
  const by = id => document.getElementById(id);
  let frame = document.querySelector("iframe"), good = body.good, source = null, next = null;

  // place is what the reader sees at the top of the window: how far it is
  // scrolled, and the last thing with an id above that, so that what is put in
  // or taken out further up does not move the text under the reader's eyes.
  const place = w => {
    const at = { x: w.scrollX, y: w.scrollY, id: "", offset: 0 };
    if (at.y > 0) for (const e of w.document.querySelectorAll("main [id]")) {
      if (!e.checkVisibility()) continue;
      const top = e.getBoundingClientRect().top;
      if (top > 0) break;
      at.id = e.id;
      at.offset = top;
    }
    return at;
  };

  const restore = (w, at) => {
    const e = at.id && w.document.getElementById(at.id);
    const y = e && e.checkVisibility() ? w.scrollY + e.getBoundingClientRect().top - at.offset : at.y;
    w.scrollTo({ left: at.x, top: y, behavior: "instant" });
  };

  // folds names each part that can be unfolded by its summary, the same words
  // counted through.
  const folds = d => {
    const count = {}, out = new Map();
    for (const e of d.querySelectorAll("details")) {
      const words = e.querySelector("summary")?.textContent ?? "";
      count[words] = (count[words] ?? 0) + 1;
      out.set(words + "#" + count[words], e);
    }
    return out;
  };

  const swap = wanted => {
    if (next) next.remove();
    const fresh = next = document.createElement("iframe");
    fresh.title = frame.title;
    fresh.setAttribute("sandbox", "allow-same-origin");
    fresh.className = "waiting";
    fresh.addEventListener("load", () => {
      if (next !== fresh) return;
      const old = frame.contentWindow, now = fresh.contentWindow;
      try {
        const before = folds(old.document);
        for (const [key, e] of folds(now.document)) if (before.has(key)) e.open = before.get(key).open;
        restore(now, place(old));
      } catch { /* one of the two is not a report */ }
      const held = document.activeElement === frame;
      fresh.className = "";
      frame.remove();
      frame = fresh;
      next = null;
      if (held) frame.focus();
      document.body.dataset.good = wanted;
    });
    fresh.src = body.report + "?" + wanted;
    document.querySelector("main").append(fresh);
  };

  const line = (kind, text) => {
    const p = document.createElement("p");
    p.className = kind;
    p.textContent = text;
    return p;
  };

  const show = state => {
    const problems = state.problems ?? [];
    document.title = (problems.length ? "✗ " : "") + (state.title || state.name);
    by("stale").textContent = "The spec cannot be used as it stands." + (state.good ? " Below is the last good report." : "");
    by("problems").replaceChildren(...problems.map(p => {
      const item = document.createElement("li");
      item.append(line("what", p.what));
      if (p.hint) item.append(line("hint", p.hint));
      return item;
    }));
    by("box").hidden = problems.length === 0;
    const wanted = state.good || (state.pending ? "" : "none");
    if (wanted !== good) {
      good = wanted;
      swap(wanted);
    }
  };

  const follow = () => {
    if (source || document.hidden) return;
    source = new EventSource(body.events);
    source.onopen = () => { by("lost").hidden = true };
    source.onerror = () => { by("lost").hidden = false };
    source.onmessage = e => {
      const state = JSON.parse(e.data);
      if (frame) show(state);
      else if (String(state) !== body.version) location.reload();
    };
  };

  // A browser allows six connections to one address: a tab that nobody sees
  // gives its own back.
  document.addEventListener("visibilitychange", () => {
    if (document.hidden && source) {
      source.close();
      source = null;
    }
    follow();
  });
  follow();
})();
