// A button that is replaced between press and release is never clicked: what comes in meanwhile waits.
const MOST = 5000; // ms after which a press whose end nobody saw counts as over
const CLICK = 50; // ms from the release to its click
let timer = 0;
const waiting = [];

function press(most) {
  clearTimeout(timer);
  timer = setTimeout(() => {
    timer = 0;
    for (const done of waiting.splice(0)) done();
  }, most);
}

addEventListener("pointerdown", (event) => { if (event.button === 0) press(MOST); }, true);
for (const end of ["pointerup", "pointercancel"]) addEventListener(end, () => { if (timer) press(CLICK); }, true);

// The end of the press that is going on, if one is.
export const released = () => (timer ? new Promise((done) => waiting.push(done)) : null);
