// What a change did, in words: as far as it is known at once, and the rest when it is there.

import { tell, tellMore } from "./asking.js";
import { counted } from "./questions.js";

const MOST = 3; // numbers that are named; the rest are counted
let due = null, heard = null; // what is still to be said of a step; the findings that were last told

/** Another wheel lies on the board: nothing of the last one is compared with it. */
export function forgetHeard() {
  due = heard = null;
}

/** A number with its unit, which no line ends within. */
const unbroken = (text) => text.replaceAll(" ", "\u00a0");

function movedRows(rows, most) {
  const moved = rows.filter((row) => row.text !== row.was_text);
  const named = moved.slice(0, most).map((row) => `${row.name} ${unbroken(row.text)}, was ${unbroken(row.was_text)}`);
  return [...named, ...(moved.length > most ? [`and ${moved.length - most} more`] : [])];
}

/** What keeps a hand from going on, in words; empty where nothing does. */
export const stops = ({ limit }) => (limit?.length ? `It stops here: ${limit.map((f) => f.says).join("; ")}` : "");

/**
 * Says what a step did, and the numbers that are known at once. What is found is counted once, when
 * all of it is known; that a wheel cannot run is said before its numbers.
 */
export function announce(said, head = "") {
  const stopped = stops(said), limit = stopped && `${stopped}. `;
  if (!said.did) { // its numbers stand beside those of an older step
    due = null;
    tell(`${limit}It is as it was.`, Boolean(stopped));
    return;
  }
  const moved = movedRows(said.numbers, MOST);
  const amiss = said.cannot_run ? [said.cannot_run] : [];
  due = { revision: said.revision, most: Math.max(1, MOST - moved.length), moved: moved.length > 0 };
  tell(`${limit}${[head + said.did, ...amiss, ...(moved.length ? [moved.join("; ")] : [])].join(". ")}.`, Boolean(stopped));
}

/** Says what came later: pulls, and the faults and warnings that came or went. */
export function announceRest({ revision, mechanics: rows, findings: found }) {
  const mine = due, before = heard ?? found;
  if (mine && mine.revision !== revision) return; // what is newer is still to come
  due = null;
  heard = found;
  if (!mine) return;
  const said = [];
  for (const [word, here, there] of [["new", found, before], ["gone", before, found]]) {
    const counts = counted(lacking(here, there));
    if (counts.length) said.push(`${word}: ${counts.join(" and ")}`);
  }
  said.push(...movedRows(rows, mine.most));
  if (said.length) tellMore(`${said.join("; ")}.`);
  else if (!mine.moved) tellMore("No number here has changed.");
}

/** The findings of a list that another lacks. */
function lacking(here, there) {
  const left = there.map(spoken);
  return here.filter((f) => {
    const at = left.indexOf(spoken(f));
    if (at >= 0) left.splice(at, 1);
    return at < 0;
  });
}
const spoken = (f) => `${f.level} ${f.rule} ${f.where}`;
