"use strict";
(() => {
  const list = [...document.querySelectorAll("details.finding")];
  const form = document.getElementById("filters");
  const chosen = form.querySelector("select");
  const shown = document.getElementById("shown");
  const links = [...document.querySelectorAll("svg.picture a")];

  const filter = () => {
    const wanted = new Set([...form.querySelectorAll("input:checked")].map((box) => box.value));
    const station = chosen.value;
    let count = 0;
    for (const one of list) {
      const isOf = station === "" || one.dataset.stations.split(" ").includes(station);
      one.hidden = !(wanted.has(one.dataset.severity) && isOf);
      if (!one.hidden) count += 1;
    }
    for (const link of links) {
      const one = document.getElementById(link.getAttribute("href").slice(1));
      link.classList.toggle("faded", one !== null && one.hidden);
    }
    shown.textContent = `${count} of ${list.length} findings shown.`;
  };

  const open = () => {
    const one = location.hash.length > 1 ? document.getElementById(location.hash.slice(1)) : null;
    if (one instanceof HTMLDetailsElement) {
      one.hidden = false;
      one.open = true;
      one.scrollIntoView();
    }
  };

  form.hidden = false;
  form.addEventListener("change", filter);
  filter();
  window.addEventListener("hashchange", open);
  for (const link of links) link.addEventListener("click", () => setTimeout(open));
  open();

  // What a mark says is shown at once. The title, which the browser would show late and small, becomes the mark's name.
  const tip = document.getElementById("tip");
  for (const title of document.querySelectorAll("svg.picture :not(svg) > title")) {
    const mark = title.parentElement;
    mark.dataset.tip = title.textContent;
    title.remove();
    // A link with words of its own is called by them.
    if (mark.tagName === "a" && mark.textContent.trim() !== "") continue;
    mark.setAttribute("aria-label", mark.dataset.tip);
    if (mark.tagName !== "a") mark.setAttribute("role", "img");
  }
  const show = (event) => {
    const target = event.target instanceof Element ? event.target : null;
    const mark = target && target.closest("[data-tip]");
    tip.hidden = !mark;
    if (!mark) return;
    tip.textContent = mark.dataset.tip;
    const box = mark.getBoundingClientRect();
    const x = event.clientX || box.left;
    const y = event.clientY || box.bottom;
    tip.style.left = `${Math.max(8, Math.min(x + 14, innerWidth - tip.offsetWidth - 8))}px`;
    tip.style.top = `${y + 18 + tip.offsetHeight > innerHeight ? Math.max(8, y - tip.offsetHeight - 14) : y + 18}px`;
  };
  const hide = () => { tip.hidden = true; };
  document.addEventListener("pointerover", show);
  document.addEventListener("pointerdown", show);
  document.addEventListener("focusin", show);
  document.addEventListener("focusout", hide);
  document.addEventListener("scroll", hide, true);
  document.addEventListener("keydown", (event) => { if (event.key === "Escape") hide(); });
  window.addEventListener("beforeprint", () => { for (const one of document.querySelectorAll("details.keep-clear")) one.open = true; });
})();
