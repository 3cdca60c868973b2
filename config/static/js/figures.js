/* A draft whose figures follow as one types: what is being worked out looks so, and what was typed is not lost. */
"use strict";

(() => {
  const form = document.querySelector("form[data-figures]");
  if (!form) return;
  const figures = () => document.getElementById(form.dataset.figures);

  /* Figures are stale from the first keystroke until an answer to the last one is there: an answer to what stood here
     a moment ago is shown, and still looks stale. */
  let typed = 0;
  const ASKED = new WeakMap();
  let open = [];

  const stale = () => {
    const box = figures();
    box.setAttribute("aria-busy", "true");
    box.dataset.stale = form.dataset.stale = "";
    delete box.dataset.failed;
  };

  const current = () => {
    const box = figures();
    box.removeAttribute("aria-busy");
    delete box.dataset.stale;
    delete form.dataset.stale;
    const news = document.querySelector("[data-figures-news]");
    const words = box.querySelector("dl");
    if (news && words) news.textContent = words.innerText.replace(/\s+/g, " ");
  };

  const touched = () => {
    typed += 1;
    stale();
  };

  const ours = (event) => event.detail.elt === form || form.contains(event.detail.elt);

  const asking = (event) => {
    if (!ours(event)) return;
    // A button asks for what the figures do not show yet.
    if (event.detail.elt !== form) touched();
    ASKED.set(event.detail.xhr, typed);
  };

  const swapping = (event) => {
    if (event.detail.target === figures()) {
      open = [...figures().querySelectorAll("details[data-open][open]")].map((one) => one.dataset.open);
    }
  };

  const answered = (event) => {
    const asked = ASKED.get(event.detail.xhr);
    if (asked === undefined) return;
    for (const one of figures().querySelectorAll("details[data-open]")) if (open.includes(one.dataset.open)) one.open = true;
    if (asked === typed) current();
    else stale();
    entered();
    measured();
  };

  const failed = (event) => {
    if (!event.detail.xhr || ASKED.get(event.detail.xhr) === undefined) return;
    const box = figures();
    box.removeAttribute("aria-busy");
    box.dataset.stale = box.dataset.failed = form.dataset.stale = "";
  };

  /* The bar at the bottom of a phone covers so much of the page: what gets the focus is scrolled clear of it. */
  const watcher = "ResizeObserver" in window ? new ResizeObserver(() => measure()) : null;
  const measure = () => {
    const bar = figures().querySelector(".figures");
    if (bar) document.documentElement.style.setProperty("--bar", `${bar.offsetHeight}px`);
  };
  const measured = () => {
    measure();
    const bar = figures().querySelector(".figures");
    if (!watcher || !bar) return;
    watcher.disconnect();
    watcher.observe(bar);
  };

  /* A link of a problem puts the cursor into its field, or opens what it names. */
  const jump = (event) => {
    const link = event.target.closest(".issues a[href^='#']");
    const place = link && document.getElementById(link.hash.slice(1));
    if (!place) return;
    const folded = place.closest("details");
    if (folded) folded.open = true;
    if (!place.matches("input, select, textarea")) return;
    event.preventDefault();
    place.focus({ preventScroll: true });
    (place.closest(".field, tr") || place).scrollIntoView({ block: "center" });
  };

  /* What was changed and is not saved stays in this tab while another page of the site is open. */
  const KEY = `coldset-${form.dataset.carry}`;
  const fields = () => [...form.elements].filter((one) => one.name && one.type !== "hidden" && one.tagName !== "BUTTON");
  const many = (one) => one.type === "radio" || (one.type === "checkbox" && one.hasAttribute("value"));
  const keyOf = (one) => (many(one) ? `${one.name}=${one.value}` : one.name);
  const ticks = (one) => one.type === "checkbox" || one.type === "radio";
  const stateOf = (one) => (ticks(one) ? String(one.checked) : one.value);
  const labelOf = (one) => {
    const row = /-(\d+)-/.exec(one.name);
    const label = (one.labels && one.labels[0] ? one.labels[0].textContent : one.name).trim();
    return row ? `${label} (${Number(row[1]) + 1})` : label;
  };
  const shownOf = (one) => (one.tagName === "SELECT" ? one.selectedOptions[0]?.textContent || "" : stateOf(one)).trim();
  const versionOf = () => form.elements.version?.value || "";
  // Of a page that shows what is not saved, nothing is known to be as it was.
  const SAVED = new Map("unsaved" in form.dataset ? [] : fields().map((one) => [keyOf(one), stateOf(one)]));

  const stored = () => {
    try {
      return JSON.parse(window.sessionStorage.getItem(KEY));
    } catch {
      return null;
    }
  };
  const store = (value) => {
    try {
      if (value) window.sessionStorage.setItem(KEY, JSON.stringify(value));
      else window.sessionStorage.removeItem(KEY);
      return true;
    } catch {
      return false;
    }
  };

  const entered = () => {
    const changed = fields().filter((one) => (SAVED.has(keyOf(one)) ? SAVED.get(keyOf(one)) !== stateOf(one) : !["", "false"].includes(stateOf(one))));
    form.toggleAttribute("data-entered", changed.length > 0);
    return changed;
  };

  const carry = (sent = false) => {
    const changed = entered();
    const entries = changed.map((one) => [keyOf(one), { state: stateOf(one), label: labelOf(one), shown: shownOf(one) }]);
    return store(entries.length ? { version: versionOf(), rows: form.dataset.rowsVersion, sent, entries } : null);
  };

  const found = (key) => fields().find((one) => keyOf(one) === key);

  const rowFor = (key) => {
    const [, prefix, number] = /^(lines|extras)-(\d+)-/.exec(key) || [];
    const button = prefix && document.querySelector(`[data-add-row="${prefix}"]`);
    const total = prefix && document.getElementById(`id_${prefix}-TOTAL_FORMS`);
    while (button && total && Number(total.value) <= Number(number) && Number(number) < 60) {
      const before = total.value;
      button.click();
      if (total.value === before) break;
    }
  };

  const put = (one, state) => {
    if (ticks(one)) one.checked = state === "true";
    else one.value = state;
    const folded = one.closest("details");
    if (folded) folded.open = true;
  };

  const tell = (name, lost = []) => {
    const holder = document.querySelector(`template[data-carried="${name}"]`);
    const note = holder?.content.firstElementChild.cloneNode(true);
    const main = document.getElementById("main");
    if (!note || !main) return;
    for (const [, one] of lost) {
      const item = document.createElement("li");
      item.textContent = `${one.label}: ${one.shown}`;
      note.querySelector("ul").append(item);
    }
    const message = main.querySelector("[data-said]");
    if (message) message.after(note);
    else {
      main.prepend(note);
      note.focus();
    }
    (message || note).scrollIntoView({ block: "center" });
    if (message) message.focus();
  };

  const restore = () => {
    const was = stored();
    if (!was || "unsaved" in form.dataset) return;
    store(null);
    if (was.sent && was.version !== versionOf()) return;
    const fits = was.rows === form.dataset.rowsVersion;
    const [back, lost] = [[], []];
    for (const [key, one] of was.entries) {
      const ofRow = /^(lines|extras)-\d+-/.test(key);
      if (ofRow && fits) rowFor(key);
      const field = found(key);
      if (field && stateOf(field) === one.state && (fits || !ofRow)) continue;
      (field && (fits || !ofRow) ? back : lost).push([key, one]);
    }
    for (const [key, one] of back) put(found(key), one.state);
    if (lost.length) tell("lost", lost);
    if (!back.length) return;
    tell("back");
    found(back[0][0]).dispatchEvent(new Event("input", { bubbles: true }));
  };

  const leavingWithin = () => {
    if (!carry()) return;
    form.dataset.carried = "";
    window.setTimeout(() => delete form.dataset.carried, 2000);
  };

  /* A number that fixes an entry is entered as if it were written. */
  const fill = (button) => {
    const field = document.getElementById(button.dataset.fill);
    if (!field) return;
    field.value = button.value;
    field.dispatchEvent(new Event("input", { bubbles: true }));
    field.focus();
  };

  /* What was wrong with an entry goes when it changes: the figures say what is wrong with the new one. */
  const forgiven = (field) => {
    if (field.getAttribute?.("aria-invalid") !== "true") return;
    field.removeAttribute("aria-invalid");
    document.getElementById(`${field.id}_error`)?.remove();
    for (let row = field.closest(".wrong"); row; row = row.parentElement.closest(".wrong")) {
      if (row.querySelector('[aria-invalid="true"], .error')) break;
      row.classList.remove("wrong");
    }
    const listed = document.querySelector(`[data-errors] a[href="#${field.id}"]`);
    const summary = listed?.closest("[data-errors]");
    listed?.closest("li").remove();
    if (!summary) return;
    const title = summary.querySelector("h2");
    if (!summary.querySelector("li")) summary.remove();
    else if (title?.dataset.fewer) title.textContent = title.dataset.fewer;
  };

  const click = (event) => {
    jump(event);
    const number = event.target.closest("[data-fill]");
    if (number) fill(number);
    if (event.target.closest("[data-discard]")) {
      store(null);
      form.dataset.carried = "";
      window.location.assign(window.location.pathname);
      return;
    }
    const link = event.target.closest("a[href]");
    // "Use what is saved" of a form that was overtaken discards what was entered.
    if (link && link.closest(".versions")) {
      store(null);
      form.dataset.carried = "";
      return;
    }
    const plain = !event.defaultPrevented && !event.metaKey && !event.ctrlKey && !event.shiftKey;
    if (link && plain && !link.target && link.origin === window.location.origin) leavingWithin();
  };

  const submit = (event) => {
    if (event.target === form) carry(true);
    else if (!event.target.matches(".who")) leavingWithin();
  };

  form.addEventListener("input", (event) => {
    forgiven(event.target);
    touched();
    carry();
  });
  form.addEventListener("recalculate", touched);
  document.addEventListener("htmx:beforeRequest", asking);
  document.addEventListener("htmx:beforeSwap", swapping);
  document.addEventListener("htmx:afterSettle", answered);
  document.addEventListener("htmx:responseError", failed);
  document.addEventListener("htmx:sendError", failed);
  document.addEventListener("click", click);
  document.addEventListener("submit", submit);
  measured();
  if ("unsaved" in form.dataset) carry();
  // After htmx has read the page: what comes back has to be worked out.
  document.addEventListener("DOMContentLoaded", restore);
})();
