// Times as the site reads them, in its own zone, whatever zone this device is set to.

const DAY_MS = 86_400_000;
const AHEAD_MS = 2 * 60_000;
const LONGEST_AGO_MS = 12 * 3_600_000;

let offsetMs = 0;

/** The clock of this device was measured to run ahead of the server by so many seconds. */
export function runsAhead(seconds) {
  offsetMs = (seconds ?? 0) * 1000;
}

/** The moment on the server's clock: all devices of a case share one chart. */
export function serverNow() {
  return Date.now() - offsetMs;
}

const zone = document.querySelector("meta[name=ullage-zone]")?.content || undefined;

function shown(options) {
  return new Intl.DateTimeFormat("en-GB", { timeZone: zone, hourCycle: "h23", ...options });
}

const clock = shown({ hour: "2-digit", minute: "2-digit" });
const day = shown({ day: "numeric", month: "short" });
const whole = shown({
  year: "numeric", month: "2-digit", day: "2-digit", hour: "2-digit", minute: "2-digit", second: "2-digit",
});

/** 09:30; with the day where it was not today. */
export function time(at, now = serverNow()) {
  const said = clock.format(at);
  return day.format(at) === day.format(now) ? said : `${said}, ${day.format(at)}`;
}

/** How far the clock of the site is from UTC at a moment, in ms. */
function ahead(at) {
  const parts = Object.fromEntries(whole.formatToParts(at).map(({ type, value }) => [type, Number(value)]));
  const here = Date.UTC(parts.year, parts.month - 1, parts.day, parts.hour, parts.minute, parts.second);
  return here - Math.floor(at / 1000) * 1000;
}

/** The last moment at which the clock of the site showed this time; null where it cannot be meant. */
export function lately(text, now = serverNow()) {
  const read = /^(\d{1,2}):?(\d{2})$/.exec(text.trim());
  if (!read || Number(read[1]) > 23 || Number(read[2]) > 59) return null;
  const minutes = Number(read[1]) * 60 + Number(read[2]);
  const midnight = Math.floor((now + ahead(now)) / DAY_MS) * DAY_MS;
  for (const start of [midnight, midnight - DAY_MS]) {
    const local = start + minutes * 60_000;
    const at = local - ahead(local - ahead(now));
    if (at <= now + AHEAD_MS) return now - at <= LONGEST_AGO_MS ? Math.min(at, now) : null;
  }
  return null;
}
