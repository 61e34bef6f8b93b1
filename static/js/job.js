// Pages of a job: zone choice, rows under the keyboard, one selection everywhere, undo.
(() => {
  const { addKey, one, all } = window.fitout;
  const body = document.body;

  // Zones: buttons and drawing alike carry data-zone; rows carry data-in-zone.
  let zone = new URLSearchParams(location.search).get("zone") ?? "";
  const zones = () => [...new Set(all("button[data-zone], a[data-zone], .zone[data-zone]").map((item) => item.dataset.zone))].filter(Boolean);
  const showZone = () => {
    all("[data-zone]").forEach((item) => {
      const on = item.dataset.zone === zone;
      item.classList.toggle("on", on && zone !== "");
      if (item.hasAttribute("aria-pressed")) item.setAttribute("aria-pressed", String(on));
      if (item.matches("a")) {
        if (on) item.setAttribute("aria-current", "true");
        else item.removeAttribute("aria-current");
      }
    });
    all("[data-in-zone]").forEach((item) => {
      const other = zone !== "" && item.dataset.inZone !== zone;
      if (item instanceof SVGElement) item.classList.toggle("faded", other);
      else item.hidden = other;
    });
    all("tr[data-of-zone]").forEach((row) => row.classList.toggle("hand", row.dataset.ofZone === zone));
  };
  const chooseZone = (code) => {
    zone = zone === code ? "" : code;
    showZone();
    const address = new URL(location.href);
    if (zone) address.searchParams.set("zone", zone);
    else address.searchParams.delete("zone");
    history.replaceState(history.state, "", address);
  };
  document.addEventListener("click", (event) => {
    const item = event.target.closest("[data-zone]");
    if (!item || event.target.closest("a[href]:not([data-zone])")) return;
    event.preventDefault();
    chooseZone(item.dataset.zone);
  });
  document.addEventListener("keydown", (event) => {
    const item = event.target.closest?.("g[data-zone], g[data-circuit]");
    if (item && (event.key === "Enter" || event.key === " ")) {
      event.preventDefault();
      item.dispatchEvent(new MouseEvent("click", { bubbles: true }));
    }
  });
  if (one("[data-zone]")) {
    addKey("z", () => {
      const order = ["", ...zones()];
      zone = order[(order.indexOf(zone) + 1) % order.length];
      const next = zone;
      zone = "";
      chooseZone(next);
    }, "Next zone");
    showZone();
  }

  // One circuit, selected in diagram, findings and table together.
  const chooseCircuit = (label) => {
    all("[data-circuit]").forEach((item) =>
      item.classList.toggle(item instanceof SVGElement ? "on" : "hand", item.dataset.circuit === label));
    const panel = one(".findings");
    const finding = one(".finding.hand");
    if (!panel || !finding || panel.scrollHeight <= panel.clientHeight) return;
    const [seen, wanted] = [panel.getBoundingClientRect(), finding.getBoundingClientRect()];
    if (wanted.top < seen.top || wanted.bottom > seen.bottom) panel.scrollTop += wanted.top - seen.top;
  };
  document.addEventListener("click", (event) => {
    const item = event.target.closest("[data-circuit]");
    if (item) chooseCircuit(item.dataset.circuit);
  });

  // Rows: arrows move, Enter edits. A row acts through its own links and buttons,
  // marked data-act="edit | choice | kit", so that everything works without keys too.
  let inHand = null;
  const rows = () => all("tr[data-line], tr[data-circuit]").filter((row) => row.offsetParent !== null);
  const take = (row) => {
    if (!row) return;
    all("tr.hand").forEach((other) => other.classList.remove("hand"));
    row.classList.add("hand");
    inHand = row.dataset.line ?? row.dataset.circuit;
    row.scrollIntoView({ block: "nearest" });
    if (row.dataset.circuit) chooseCircuit(row.dataset.circuit);
  };
  const held = () => rows().find((row) => (row.dataset.line ?? row.dataset.circuit) === inHand);
  const step = (by) => () => {
    const list = rows();
    const at = list.indexOf(held());
    take(at < 0 ? list[0] : list[Math.min(list.length - 1, Math.max(0, at + by))]);
  };
  const press = (name) => () => {
    const part = held() && one(`[data-act=${name}]`, held());
    if (!part) return false;
    part.click();
  };
  document.addEventListener("click", (event) => {
    const row = event.target.closest("tr[data-line]");
    if (row) take(row);
  });
  document.addEventListener("dblclick", (event) => {
    const row = event.target.closest("tr[data-line]");
    if (row) one("[data-act=edit]", row)?.click();
  });
  if (one("tr[data-line], tr[data-circuit]")) {
    addKey("ArrowDown", step(1), "Next row");
    addKey("ArrowUp", step(-1), "Row before");
    addKey("Enter", (event) => (event.target.closest("a, button, summary") ? false : press("edit")()), "Edit the row in hand");
  }
  if (one("tr[data-line]")) {
    addKey("c", press("choice"), "Change the choice: included or option");
    addKey("+", press("kit"), "Open a kit");
  }

  // Add a line or a kit: to the zone in hand, else to the first place offered.
  const toEntry = (name) => () => {
    const near = held()?.closest("tbody") ?? (zone && one(`tbody[data-in-zone="${CSS.escape(zone)}"]`));
    const place = (near && one(`[data-act=${name}]`, near)) || one(`[data-act=${name}]`);
    if (!place) return false;
    if (place.matches("input, select, textarea")) place.focus();
    else place.click();
  };
  if (one("[data-act=add-line]")) addKey("a", toEntry("add-line"), "Add a line");
  if (one("[data-act=add-kit]")) addKey("k", toEntry("add-kit"), "Add a kit");

  document.addEventListener("htmx:afterSettle", (event) => {
    const row = inHand && held();
    row?.classList.add("hand");
    if (row && event.target.closest?.(".sheet")) row.scrollIntoView({ block: "nearest" });
    if (zone) showZone();
    // A line that was moved stays in hand, wherever it went.
    const moved = one("tr[data-moved]");
    if (moved) {
      moved.removeAttribute("data-moved");
      take(moved);
      one("[data-act=edit]", moved)?.focus({ preventScroll: true });
    }
    const field = one("[data-focus]");
    if (field) {
      const wrong = one("[aria-invalid=true]", field.closest("[data-edit]") ?? document);
      (wrong ?? field).focus();
      (wrong ?? field).select?.();
      wrong?.scrollIntoView({ block: "center" });
      field.removeAttribute("data-focus");
    }
  });
  // Escape leaves an open row without saving.
  document.addEventListener("keydown", (event) => {
    if (event.key !== "Escape") return;
    const row = event.target.closest?.(".edit-row, td.editing, tr.entry, [data-edit]");
    const leave = row && one("[data-act=leave]", row);
    if (leave) leave.click();
    else if (row) event.target.blur();
  });

  // The strip: flags stay nine seconds, then the figures stand alone. U undoes.
  const strip = one("#strip");
  if (strip) {
    let timer;
    let isAsked = false;
    const undoLast = () => {
      const undo = one(".undo button", strip);
      if (!undo) return false;
      undo.click();
    };
    // While the strip learns of a change its button would still undo the one before.
    addKey("u", () => {
      isAsked = strip.classList.contains("htmx-request");
      return isAsked ? undefined : undoLast();
    }, "Undo the last change");
    document.addEventListener("htmx:afterSettle", (event) => {
      if (event.detail.target !== strip && !strip.contains(event.detail.target)) return;
      if (isAsked) undoLast();
      isAsked = false;
      clearTimeout(timer);
      const root = one(".strip-state", strip) ?? strip;
      root.classList.remove("faded");
      timer = setTimeout(() => root.classList.add("faded"), 9000);
    });
  }

  // The view somebody is in stands in sight of a narrow bar.
  const tabs = one(".job-tabs");
  const here = tabs && one("[aria-current=page]", tabs);
  if (here) tabs.scrollLeft = here.offsetLeft - (tabs.clientWidth - here.offsetWidth) / 2;

  // Once the band has scrolled away, the plan folds into the bar of views.
  const band = one(".band");
  if (band && "IntersectionObserver" in window) {
    new IntersectionObserver(([seen]) => body.classList.toggle("stuck", !seen.isIntersecting && seen.boundingClientRect.top < 0), { rootMargin: "-30px" }).observe(band);
  }
})();
