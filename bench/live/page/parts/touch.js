// Fingers on a chart: one moves it sideways, two zoom. Up and down stay with the page.

/** over: the element that is touched. act: {move(share), zoom(factor, at)}, shares of the chart's width. */
export function bindTouch(over, act) {
  const fingers = new Map();
  const share = (x) => (x - over.getBoundingClientRect().left) / Math.max(1, over.clientWidth);

  const span = () => {
    const at = [...fingers.values()];
    return {width: Math.max(0.02, Math.abs(at[0] - at[1])), centre: (at[0] + at[1]) / 2};
  };

  over.addEventListener("pointerdown", (event) => {
    if (event.pointerType === "mouse") return;
    fingers.set(event.pointerId, share(event.clientX));
    over.setPointerCapture(event.pointerId);
  });
  over.addEventListener("pointermove", (event) => {
    if (!fingers.has(event.pointerId)) return;
    const now = share(event.clientX);
    if (fingers.size === 1) {
      const by = fingers.get(event.pointerId) - now;
      if (Math.abs(by) < 0.01) return;
      fingers.set(event.pointerId, now);
      act.move(by);
    } else if (fingers.size === 2) {
      const before = span();
      fingers.set(event.pointerId, now);
      const after = span();
      act.zoom(before.width / after.width, after.centre);
    }
  });
  for (const name of ["pointerup", "pointercancel"])
    over.addEventListener(name, (event) => fingers.delete(event.pointerId));
  over.addEventListener("wheel", (event) => {
    if (!event.ctrlKey) return;
    event.preventDefault();
    act.zoom(Math.exp(event.deltaY * 0.004), share(event.clientX));
  }, {passive: false});
}
