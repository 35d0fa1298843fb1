// What the page knows of the desk: when it last answered, how far the clocks are apart, how much still waits here.

let device;
let waiting = 0;
// When the desk last answered, by this phone's clock, and since when it has not.
let heard = null;
let silentSince = Date.now();
let loggedOut = false;
let lastTrouble = "";
// What the desk said of single acts.
let said = [];
// How far this phone's clock is ahead of the desk's. [ms]
let skew = 0;
let timer = 0;
// Whether a walk may be begun here any moment: then the desk counts on this phone.
let isShowing = true;

const deskTime = (moment = Date.now()) => new Date(moment - skew);

function handOverSoon(ms) {
  clearTimeout(timer);
  timer = setTimeout(() => later(() => handOver()), ms);
}
