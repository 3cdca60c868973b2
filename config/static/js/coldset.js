/* Small helps on top of pages that work without them. */
"use strict";

(() => {
  const UNSAVED = new WeakSet();

  /* Before htmx reads the page: nothing evaluated, nothing from elsewhere, and what a refusal answers is shown. */
  if (window.htmx) {
    Object.assign(window.htmx.config, {
      includeIndicatorStyles: false,
      allowEval: false,
      selfRequestsOnly: true,
      allowScriptTags: false,
      historyCacheSize: 0,
      responseHandling: [
        { code: "204", swap: false },
        { code: "[23]..", swap: true },
        { code: "409|422", swap: true },
        { code: "[45]..", swap: false, error: true },
      ],
    });
  }

  /* Every form of a page carries the same token. */
  const signRequest = (event) => {
    const token = document.querySelector("[name=csrfmiddlewaretoken]");
    if (token) event.detail.headers["X-CSRFToken"] = token.value;
  };

  /* A second click on a button does nothing while the first is under way. The clicked button keeps its name and
     value: it is never disabled, because a disabled button is left out of what is sent. */
  const guard = (event) => {
    const form = event.target;
    if (event.defaultPrevented || (form.getAttribute("method") || "get").toLowerCase() !== "post" || form.hasAttribute("data-again")) return;
    if (form.dataset.sending) {
      event.preventDefault();
      return;
    }
    form.dataset.sending = "yes";
    if (form.matches(".who")) forget();
    for (const button of form.querySelectorAll("button:not([type=button])")) button.setAttribute("aria-disabled", "true");
    UNSAVED.delete(form);
    // A download leaves the page standing: the form is free again after a while.
    window.setTimeout(() => free(form), 8000);
  };

  /* Whoever signs out leaves nothing behind in the tab. */
  const forget = () => {
    try {
      window.sessionStorage.clear();
    } catch {
      /* A browser that keeps nothing has nothing to forget. */
    }
  };

  const free = (form) => {
    delete form.dataset.sending;
    for (const button of form.querySelectorAll("[aria-disabled]")) button.removeAttribute("aria-disabled");
  };

  const release = () => {
    for (const form of document.querySelectorAll("form[data-sending]")) free(form);
  };

  /* What must be read first gets the focus: the error summary, else the note after a redirect. */
  const focusFirst = (root) => {
    const first = root.querySelector("[data-errors]") || root.querySelector("[data-said]");
    if (first) first.focus();
  };

  /* A link of the summary puts the cursor into its field, with the label in view. */
  const jump = (event) => {
    const link = event.target.closest("[data-errors] a[href^='#']");
    const field = link && document.getElementById(link.hash.slice(1));
    if (!field) return;
    event.preventDefault();
    field.focus({ preventScroll: true });
    (field.closest(".field, tr") || field).scrollIntoView({ block: "center" });
  };

  const keep = (event) => {
    const form = event.target.closest("form[data-keep]");
    if (form) UNSAVED.add(form);
  };

  const warn = (event) => {
    // What is carried in this tab to the next page of the site is not lost.
    const changed = [...document.querySelectorAll("form[data-keep]")].some((form) => UNSAVED.has(form) && !("carried" in form.dataset));
    if (changed) event.preventDefault();
  };

  const rowsOf = (prefix) => document.querySelector(`[data-rows="${CSS.escape(prefix)}"]`);

  const addRow = (button) => {
    const prefix = button.dataset.addRow;
    const template = document.querySelector(`template[data-row="${CSS.escape(prefix)}"]`);
    const total = document.getElementById(`id_${prefix}-TOTAL_FORMS`);
    const rows = rowsOf(prefix);
    if (!template || !total || !rows) return;
    const number = Number(total.value);
    const holder = document.createElement("template");
    holder.innerHTML = template.innerHTML.replaceAll("__prefix__", String(number)).replaceAll("__row__", String(number + 1));
    const row = holder.content.firstElementChild;
    rows.append(row);
    total.value = String(number + 1);
    const first = row.querySelector("input:not([type=hidden]), select, textarea");
    if (first) first.focus();
    say(prefix, `Row ${number + 1} added.`);
    const form = button.closest("form[data-keep]");
    if (form) UNSAVED.add(form);
  };

  const say = (prefix, words) => {
    const button = document.querySelector(`[data-add-row="${CSS.escape(prefix)}"]`);
    const news = button && button.parentElement.querySelector("[data-row-news]");
    if (news) news.textContent = words;
  };

  /* Where the clipboard is closed to the page, the text is selected, ready to be copied. */
  const copy = async (button) => {
    const field = document.getElementById(button.dataset.copy);
    field.focus();
    field.select();
    try {
      await navigator.clipboard.writeText(field.value);
    } catch {
      if (!document.execCommand("copy")) return;
    }
    const news = button.parentElement.querySelector("[data-copied]");
    if (news) news.hidden = false;
  };

  const click = (event) => {
    const button = event.target.closest("button");
    if (button && button.dataset.addRow) addRow(button);
    else if (button && button.hasAttribute("data-print")) window.print();
    else if (button && button.dataset.copy) copy(button);
    else jump(event);
  };

  /* Ticking "remove" in a row says so; the row goes when the form is saved. */
  const removed = (event) => {
    const box = event.target;
    if (box.type !== "checkbox" || !box.name.endsWith("-DELETE")) return;
    const [, prefix, number] = /^(.*)-(\d+)-DELETE$/.exec(box.name) || [];
    if (prefix) say(prefix, `Row ${Number(number) + 1} ${box.checked ? "goes when you save." : "stays."}`);
  };

  /* An amount entered below a choice chooses it: what is entered is what is meant. */
  const choose = (event) => {
    const part = event.target.closest("[data-chooses]");
    const form = event.target.form;
    if (!part || !form || !event.target.value.trim()) return;
    const [name, value] = part.dataset.chooses.split("=");
    for (const option of form.elements[name]) option.checked = option.value === value;
  };

  /* A form that comes back unsaved is as good as typed. */
  for (const form of document.querySelectorAll("form[data-keep][data-unsaved]")) UNSAVED.add(form);

  const wake = (root) => {
    for (const control of root.querySelectorAll("[data-add-row][hidden], [data-print][hidden], [data-copy][hidden], [data-fill][hidden]")) control.hidden = false;
  };

  /* A button that changes rows always wins over figures that follow the typing: while its request is under way the
     form's own waits, and is made once afterwards. What was typed meanwhile is put back into the rows that come. */
  const UNDER_WAY = new WeakMap();
  const FORM_OF = new WeakMap();
  const fieldsOf = (form) => [...form.elements].filter((field) => field.name && field.type !== "hidden" && field.tagName !== "BUTTON");
  const stateOf = (field) => (field.type === "checkbox" || field.type === "radio" ? String(field.checked) : field.value);
  const keyOf = (field) => (["radio", "checkbox"].includes(field.type) ? `${field.name}=${field.value}` : field.name);

  const yieldToButton = (event) => {
    const button = event.detail.elt;
    if (button.tagName === "FORM") {
      const waiting = UNDER_WAY.get(button);
      if (!waiting) return;
      event.preventDefault();
      waiting.again = true;
    } else if (button.tagName === "BUTTON" && button.form) {
      const before = new Map(fieldsOf(button.form).map((field) => [keyOf(field), stateOf(field)]));
      UNDER_WAY.set(button.form, { before, adds: /-add$/.test(button.value), typed: new Map(), again: false });
      FORM_OF.set(button, button.form);
    }
  };

  const beforeRowsCome = (event) => {
    const form = FORM_OF.get(event.detail.requestConfig?.elt);
    const waiting = form && UNDER_WAY.get(form);
    if (!waiting || !waiting.adds) return;
    for (const field of fieldsOf(form)) {
      if (waiting.before.has(keyOf(field)) && waiting.before.get(keyOf(field)) !== stateOf(field)) waiting.typed.set(keyOf(field), stateOf(field));
    }
  };

  const buttonDone = (event) => {
    const form = FORM_OF.get(event.detail.requestConfig?.elt);
    const waiting = form && UNDER_WAY.get(form);
    if (!waiting) return;
    UNDER_WAY.delete(form);
    for (const field of fieldsOf(form)) {
      const typed = waiting.typed.get(keyOf(field));
      if (typed === undefined) continue;
      if (field.type === "checkbox" || field.type === "radio") field.checked = typed === "true";
      else field.value = typed;
    }
    if (waiting.again || waiting.typed.size) window.htmx.trigger(form, "figures" in form.dataset ? "recalculate" : "change");
  };

  /* The main part that a waiting page fetches anew has no message: the one that was shown stays until the page is left,
     and so does the focus. */
  const HELD = { notes: [], focus: null };
  const fetchedMain = (event) => event.detail.target?.id === "main";

  const holdNotes = (event) => {
    if (!fetchedMain(event)) return;
    const [main, active] = [document.getElementById("main"), document.activeElement];
    HELD.notes = [...main.querySelectorAll(":scope > .said")];
    HELD.focus = main.contains(active) ? active : null;
  };

  const alike = (root, was) =>
    was.id ? document.getElementById(was.id) : [...root.querySelectorAll(was.tagName)].find((one) => one.textContent === was.textContent);

  const showNotes = () => {
    const [main, was] = [document.getElementById("main"), HELD.focus];
    main?.prepend(...HELD.notes);
    if (was) (HELD.notes.find((note) => note.contains(was)) && was.isConnected ? was : main && alike(main, was))?.focus({ preventScroll: true });
    Object.assign(HELD, { notes: [], focus: null });
  };

  /* A part of the page that could not be fetched must not stay silent. */
  const SIGNED_OUT = "Stop. You are signed out. What you typed is still here: sign in in another window, then go on in this one.";
  const BUSY = "Stop. The service is busy or out of reach for a moment. What you entered is still here: wait a minute, then go on.";
  const NOT_FETCHED = "Stop. The page could not be brought up to date. What you typed is still here: save it, or load the page again.";

  const failed = (event) => {
    const main = document.getElementById("main");
    let note = document.getElementById("not-fetched");
    if (!main) return;
    if (!note) {
      note = document.createElement("div");
      note.id = "not-fetched";
      note.className = "note stop";
      note.setAttribute("role", "alert");
      main.prepend(note);
    }
    const xhr = event.detail?.xhr;
    /* A full disk takes somebody longer than a minute, and the answer says what helps. */
    const full = xhr?.status === 503 && Number(xhr.getResponseHeader("Retry-After")) > 60;
    const busy = full ? `Stop. ${xhr.responseText} What you entered is still here.` : BUSY;
    note.textContent = { 401: SIGNED_OUT, 503: busy }[xhr?.status] || NOT_FETCHED;
  };
  const fetched = () => document.getElementById("not-fetched")?.remove();

  /* What is entered in a form and not saved is there again after another form of its page was sent. Its version comes
     back with it, so that what somebody saved meanwhile is not overwritten unread. */
  const carried = () => [...document.querySelectorAll("form[data-carry]:not([data-figures])")];
  const placeOf = (form) => `coldset-${form.dataset.carry}`;
  const asSaved = (form) => new Map("unsaved" in form.dataset ? [] : fieldsOf(form).map((field) => [field.id, stateOf(field)]));
  const SAVED = new Map(carried().map((form) => [form, asSaved(form)]));

  /* Fields that somebody entered something in: what a script fills in is no unsaved change. */
  const ENTERED = new Set();
  for (const kind of ["input", "change"]) document.addEventListener(kind, (event) => ENTERED.add(event.target));

  const carry = (event) => {
    if (event.defaultPrevented || event.target.matches(".who")) return;
    for (const form of carried()) {
      const changed = fieldsOf(form).filter((field) => ENTERED.has(field) && SAVED.get(form).get(field.id) !== stateOf(field));
      if (form === event.target || !changed.length) continue;
      const entries = changed.map((field) => [field.id, stateOf(field)]);
      try {
        window.sessionStorage.setItem(placeOf(form), JSON.stringify({ version: form.elements.version?.value, entries }));
      } catch {
        continue;
      }
      form.dataset.carried = "";
      window.setTimeout(() => delete form.dataset.carried, 2000);
    }
  };

  const carriedBack = (form) => {
    let was = null;
    try {
      was = JSON.parse(window.sessionStorage.getItem(placeOf(form)));
      window.sessionStorage.removeItem(placeOf(form));
    } catch {
      /* A browser that keeps nothing has nothing to bring back. */
    }
    if (!was || "unsaved" in form.dataset) return;
    for (const [id, state] of was.entries) {
      const field = document.getElementById(id);
      if (field?.form !== form) continue;
      if (field.type === "checkbox" || field.type === "radio") field.checked = state === "true";
      else field.value = state;
      const folded = field.closest("details");
      if (folded) folded.open = true;
    }
    if (form.elements.version) form.elements.version.value = was.version;
    UNSAVED.add(form);
    const note = document.querySelector('template[data-carried="back"]').content.cloneNode(true);
    const [main, message] = [document.getElementById("main"), document.querySelector("#main [data-said]")];
    if (message) message.after(note);
    else main.prepend(note);
  };

  const discard = (event) => {
    if (!event.target.closest("[data-discard]") || !carried().length) return;
    for (const form of carried()) form.dataset.carried = "";
    window.location.assign(window.location.pathname);
  };
  for (const form of carried()) carriedBack(form);

  document.addEventListener("click", discard);
  document.addEventListener("submit", carry);
  document.addEventListener("submit", guard);
  document.addEventListener("htmx:configRequest", signRequest);
  document.addEventListener("htmx:responseError", failed);
  document.addEventListener("htmx:sendError", failed);
  document.addEventListener("htmx:confirm", yieldToButton);
  document.addEventListener("htmx:beforeSwap", beforeRowsCome);
  document.addEventListener("htmx:beforeSwap", holdNotes);
  /* What somebody unfolded stays open when its rows come anew. */
  let unfolded = [];
  const foldsOf = (place) => [...place.querySelectorAll("details.step-fold")];
  const nameIn = (fold) => fold.querySelector("input[name$='-name']")?.value;
  document.addEventListener("htmx:beforeSwap", () => { unfolded = foldsOf(document).filter((one) => one.open).map(nameIn); });
  document.addEventListener("htmx:afterSwap", () => {
    for (const one of foldsOf(document)) if (unfolded.includes(nameIn(one))) one.open = true;
  });
  document.addEventListener("htmx:afterRequest", buttonDone);
  document.addEventListener("click", click);
  document.addEventListener("input", (event) => {
    keep(event);
    choose(event);
  });
  document.addEventListener("change", (event) => {
    keep(event);
    removed(event);
  });
  window.addEventListener("beforeunload", warn);
  window.addEventListener("pageshow", release);
  document.addEventListener("htmx:afterSwap", (event) => {
    fetched();
    wake(event.target);
    showNotes();
    if (event.target.querySelector("[data-errors]")) focusFirst(event.target);
  });
  document.addEventListener("htmx:afterRequest", release);
  wake(document);
  focusFirst(document);
  for (const row of document.querySelectorAll(".main-nav ul, .sub-nav ul")) {
    const here = row.querySelector("[aria-current]");
    if (here) row.scrollLeft = here.offsetLeft - (row.clientWidth - here.offsetWidth) / 2;
  }
})();
