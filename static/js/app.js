// Behaviour of every page: search key, night, menu, keys sheet, guards against lost work.
(() => {
  const one = (selector, within = document) => within.querySelector(selector);
  const all = (selector, within = document) => [...within.querySelectorAll(selector)];
  const root = document.documentElement;

  const isTyping = (event) =>
    event.target.closest?.("input, textarea, select, [contenteditable], dialog[open]") !== null;

  // Keys: other scripts add theirs. A single key never works while somebody types.
  const keys = new Map();
  const shown = [];
  const addKey = (key, run, words) => {
    keys.set(key, run);
    if (words) shown.push([key, words]);
  };
  window.fitout = { addKey, one, all, isTyping };

  document.addEventListener("keydown", (event) => {
    if (event.defaultPrevented || event.ctrlKey || event.metaKey || event.altKey) return;
    if (isTyping(event)) return;
    const key = event.key.length === 1 ? event.key.toLowerCase() : event.key;
    const run = keys.get(key);
    if (run && run(event) !== false) event.preventDefault();
  });

  // Search.
  const find = one("[data-act=find]");
  if (find) {
    addKey("/", () => {
      openMenu(true);
      find.focus();
      find.select();
    }, "Find");
    find.addEventListener("keydown", (event) => {
      if (event.key === "Escape") find.blur();
    });
  }

  // What Tab comes to is seen whole: Chromium leaves a text area half under the strip, and a
  // link half out of a bar that scrolls sideways.
  document.addEventListener("keyup", (event) => {
    if (event.key !== "Tab" || document.activeElement === document.body) return;
    document.activeElement.scrollIntoView({ block: "nearest", inline: "nearest" });
  });

  // Day and night.
  const switchLight = () => {
    const night = root.dataset.light !== "night";
    if (night) root.dataset.light = "night";
    else delete root.dataset.light;
    try {
      localStorage.setItem("light", night ? "night" : "day");
    } catch {
      // Not kept on this device; the page has changed all the same.
    }
  };
  all("[data-act=light]").forEach((button) => button.addEventListener("click", switchLight));
  addKey("n", switchLight, "Day or night");

  // The register folds into a menu on a small screen.
  const register = one("#register");
  const menu = one("[data-act=menu]");
  function openMenu(open) {
    if (!menu) return;
    register.classList.toggle("open", open);
    menu.setAttribute("aria-expanded", String(open));
  }
  menu?.addEventListener("click", () => openMenu(!register.classList.contains("open")));

  // Letters of the job's views.
  all(".job-tabs a[data-key]").forEach((link) => {
    const word = link.firstChild.textContent.trim();
    addKey(link.dataset.key, () => link.click(), word);
  });

  // The sheet of keys.
  addKey("?", () => {
    const sheet = one("#keys");
    const list = one("#keys-list");
    list.replaceChildren(...shown.map(([key, words]) => {
      const item = document.createElement("li");
      const holder = document.createElement("span");
      holder.className = "keys";
      for (const name of key.split(" ")) {
        const cap = document.createElement("span");
        cap.className = "key";
        cap.textContent = { ArrowUp: "\u2191", ArrowDown: "\u2193" }[name]
          ?? (name.length === 1 ? name.toUpperCase() : name);
        holder.append(cap);
      }
      item.append(holder, words);
      return item;
    }));
    sheet.showModal();
  }, "This list of keys");
  all("[data-act=keys]").forEach((button) =>
    button.addEventListener("click", () => keys.get("?")()));

  // The server's words name the field and the limit; the browser's own bubbles do not.
  const useServerWords = (within) =>
    all("form[method=post]", within).forEach((form) => { form.noValidate = true; });
  useServerWords(document);
  document.addEventListener("htmx:afterSwap", (event) => {
    if (event.detail.target.isConnected) useServerWords(event.detail.target.parentElement ?? document);
  });

  // A form is sent once. The button is free again if the answer never comes.
  const release = (form) => {
    delete form.dataset.sending;
    all("button[aria-busy=true]", form).forEach((button) => button.removeAttribute("aria-busy"));
  };
  document.addEventListener("submit", (event) => {
    const form = event.target;
    if (form.method.toLowerCase() !== "post" || event.defaultPrevented) return;
    if (form.dataset.sending) {
      event.preventDefault();
      return;
    }
    if (hasHtmx(form)) return;
    form.dataset.sending = "1";
    event.submitter?.setAttribute("aria-busy", "true");
    root.classList.add("busy");
    setTimeout(() => release(form), 10000);
  });
  const hasHtmx = (form) => form.hasAttribute("hx-post") || form.hasAttribute("data-hx-post");
  window.addEventListener("pageshow", () => {
    root.classList.remove("busy");
    all("form[data-sending]").forEach(release);
  });
  document.addEventListener("htmx:beforeRequest", (event) => {
    const form = event.detail.elt.closest?.("form");
    if (!form || event.detail.requestConfig.verb === "get") return;
    if (form.dataset.sending) event.preventDefault();
    else form.dataset.sending = "1";
  });
  // The same form filled in alike once more is meant: it gets a new key against double sending.
  const renewKey = (form) => {
    const key = form.elements.namedItem("once");
    if (!key) return;
    const bytes = crypto.getRandomValues(new Uint8Array(16));
    key.value = Array.from(bytes, (byte) => byte.toString(16).padStart(2, "0")).join("");
  };
  document.addEventListener("htmx:afterRequest", (event) => {
    const form = event.detail.elt.closest?.("form");
    if (form) release(form);
    if (form && event.detail.successful) form.dataset.touched = "";
    if (form && event.detail.successful) renewKey(form);
  });

  // Nothing typed is lost: ask before leaving a form that was changed and not saved.
  document.addEventListener("input", (event) => {
    const form = event.target.form;
    if (!form || form.method.toLowerCase() !== "post" || form.hasAttribute("data-no-guard")) return;
    form.dataset.touched = "1";
  });
  window.addEventListener("beforeunload", (event) => {
    const open = all("form[data-touched='1']").some((form) => !form.dataset.sending);
    if (open) event.preventDefault();
  });

  // The answer was a refusal: say so, keep the page as it is.
  const say = (words, level = "error") => {
    const place = one("#messages");
    const message = document.createElement("div");
    message.className = `message ${level}`;
    const text = document.createElement("p");
    text.textContent = words;
    message.append(text);
    place.replaceChildren(message);
    place.scrollIntoView({ block: "nearest" });
  };
  window.fitout.say = say;
  document.addEventListener("htmx:responseError", (event) => {
    const { status } = event.detail.xhr;
    if (status === 401) askToSignIn();
    else if (status === 403) renewToken().then((renewed) => say(renewed
      ? "You signed in anew since this page was opened. What you typed is still here: send it once more."
      : "You may not do that with your role. What you typed is still here."));
    else if (status === 404) say("That is no longer there. Somebody may have removed it. Load the page again to see.");
    else if (status === 429) say("Too many tries in a short time. Wait a minute, then try again.");
    else if (status === 503) say("Somebody else is writing just now. Nothing was saved; what you typed is still here. Send it again.");
    else say("The server could not answer. Nothing was changed; what you typed is still here. Try again.");
  });

  // Signed out in the middle of typing: sign in in another tab, then this page goes on.
  // Signing in changes the form token, so the page fetches the new one for its forms.
  const askToSignIn = () => {
    const dialog = one("#signed-out");
    if (!dialog.open) dialog.showModal();
  };
  const renewToken = async () => {
    const answer = await fetch(location.href, { credentials: "same-origin" });
    if (answer.redirected || !answer.ok) return false;
    const fresh = new DOMParser().parseFromString(await answer.text(), "text/html");
    const headers = fresh.body.getAttribute("hx-headers");
    const token = headers && JSON.parse(headers)["X-CSRFToken"];
    if (!token) return false;
    document.body.setAttribute("hx-headers", headers);
    all("input[name=csrfmiddlewaretoken]").forEach((input) => { input.value = token; });
    return true;
  };
  one("#signed-out")?.addEventListener("close", async () => {
    if (await renewToken()) say("You are signed in again. Send once more what you typed.", "info");
    else say("You are still signed out. What you typed is still here.", "warning");
  });
  document.addEventListener("htmx:sendError", () =>
    say("No connection. Nothing was changed; what you typed is still here."));
  document.addEventListener("htmx:timeout", () =>
    say("No answer in time. Load the page again to see whether it was saved."));
  // A sign-in page in place of a fragment means the session is over.
  document.addEventListener("htmx:beforeSwap", (event) => {
    const landed = event.detail.xhr.responseURL ?? "";
    if (event.detail.xhr.status === 401 || landed.includes("/sign-in/")) {
      event.detail.shouldSwap = false;
      askToSignIn();
    }
  });
  document.addEventListener("message", (event) => say(event.detail.value ?? event.detail.text, event.detail.level));

  // After a refused form, the first wrong field is in hand.
  const toFirstError = (within) => one("[aria-invalid=true]", within)?.focus();
  document.addEventListener("htmx:afterSwap", (event) => {
    if ([409, 422].includes(event.detail.xhr?.status)) toFirstError(event.detail.target);
  });
  toFirstError(document);

  // Sure? A button may ask before it acts: data-sure="Remove line FD-01?"
  document.addEventListener("click", (event) => {
    const button = event.target.closest("[data-sure]");
    if (button && !window.confirm(button.dataset.sure)) event.preventDefault();
  });
  // On a phone the groups of a long table are folded but for the one in hand. Without script,
  // and on a wide screen, all stand open.
  const LONG_TABLE = 12;
  all("table[data-groups]").forEach((table) => {
    if (!window.matchMedia("(max-width: 720px)").matches) return;
    const groups = all("tbody", table).filter((group) => one(".zone-head button", group));
    const isLong = groups.length > 2 || all("tbody tr", table).length > LONG_TABLE;
    const target = location.hash.length > 1 ? document.getElementById(location.hash.slice(1)) : null;
    const inHand = groups.find((group) => one("[aria-invalid=true], .form-errors", group))
      ?? groups.find((group) => target && group.contains(target))
      ?? groups.find((group) => group.hasAttribute("data-open")) ?? groups[0];
    const fold = (group, folded) => {
      group.classList.toggle("folded", folded);
      one(".zone-head button", group).setAttribute("aria-expanded", String(!folded));
    };
    groups.forEach((group) => {
      fold(group, isLong && group !== inHand);
      one(".zone-head button", group).addEventListener("click", () =>
        fold(group, !group.classList.contains("folded")));
    });
    if (target && inHand.contains(target)) target.scrollIntoView();
  });
  // On a phone long parts of a page are folded, but for the one in hand; what somebody opened
  // stays open when the page is renewed. What is shown last there comes last under Tab too.
  const opened = new Set();
  const arrangeForPhone = (within) => {
    if (!window.matchMedia("(max-width: 720px)").matches) return;
    all("[data-phone-last]", within).forEach((part) => part.parentElement.append(part));
    all("details[data-phone-fold]", within).forEach((part) => {
      part.open = opened.has(part.dataset.phoneFold) || one(".hand", part) !== null;
      one("summary", part).addEventListener("click", () => {
        if (part.open) opened.delete(part.dataset.phoneFold);
        else opened.add(part.dataset.phoneFold);
      });
    });
  };
  arrangeForPhone(document);
  document.addEventListener("htmx:afterSettle", (event) => arrangeForPhone(event.detail.elt));
  // A choice that filters at once: data-act="send" on a select or a tick.
  document.addEventListener("change", (event) => {
    if (event.target.matches("[data-act=send]")) event.target.form.requestSubmit();
  });
  all("[data-act=print]").forEach((button) => button.addEventListener("click", () => window.print()));
})();
