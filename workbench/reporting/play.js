"use strict";
// A game against the strategy. The answers come out of the words of the store; see playable.py for the data.

const MACHINE = 0, VISITOR = 1, OVER = 2;
const byId = (id) => document.getElementById(id);
const shape = new RegExp("^(?:" + DATA.shape + ")$");

// The store -----------------------------------------------------------------------------------------------

const words = [];
for (let at = 0; at < DATA.store.words.length; at += DATA.store.digits) {
  words.push(BigInt("0x" + DATA.store.words.slice(at, at + DATA.store.digits)));
}

// How many words a column of numbers takes: several numbers a word, or several words a number.
function wordsOf([bits, count]) {
  if (!bits) return 0;
  const each = Math.floor(DATA.store.word_bits / bits);
  return each ? Math.ceil(count / each) : count * Math.ceil(bits / DATA.store.word_bits);
}

// A number of a column, and the word in which it begins.
function field(column, place) {
  const [bits, count] = DATA.store.columns[column];
  const begin = DATA.store.columns.slice(0, column).reduce((sum, before) => sum + wordsOf(before), 0);
  if (!bits) return {value: 0n, word: begin};
  const long = BigInt(DATA.store.word_bits);
  if (bits <= DATA.store.word_bits) {
    const total = wordsOf([bits, count]);
    const shift = BigInt(Math.floor(place / total) * bits);
    const word = begin + place % total;
    return {value: words[word] >> shift & (1n << BigInt(bits)) - 1n, word};
  }
  let value = 0n;
  for (let part = 0; part * DATA.store.word_bits < bits; part++) {
    value |= words[begin + place + part * count] << BigInt(part) * long;
  }
  return {value, word: begin + place};
}

// The move that the store holds for a key, or null. The keys increase, so what is left is halved each time.
function lookUp(key) {
  const apart = DATA.store.columns.length > 1, width = BigInt(DATA.store.key_bits);
  let low = 0, high = DATA.store.columns[0][1];
  while (low < high) {
    const middle = low + high >> 1, found = field(0, middle);
    const its = apart ? found.value : found.value & (1n << width) - 1n;
    if (its === key) {
      const move = apart ? field(1, middle).value : found.value >> width;
      return {move: Number(move), word: found.word};
    }
    if (its < key) low = middle + 1; else high = middle;
  }
  return null;
}

// The game ------------------------------------------------------------------------------------------------

let place, comings, line, over, result;
let ahead;  // where moves score: by how much the machine is
let before;  // the board that was shown last, and at the start of a game that of the start

const position = () => DATA.positions[place];

// Where a move leads: its place among the moves of the position, each with its number, what comes after, what it brings.
function edgeOf(move) {
  const edges = position()[position().length - 1];
  for (let at = 0; at < edges.length; at += 3) if (edges[at] === move) return edges.slice(at, at + 3);
  return null;
}

function goAlong([, next, gain]) {
  place = next;
  ahead += gain;
  comings[place] = (comings[place] || 0) + 1;
}

function isOver() {
  if (position()[0] === OVER) {
    return position()[2] === "draw" && ahead ? ahead > 0 ? "machine-wins" : "visitor-wins" : position()[2];
  }
  return DATA.limit !== null && comings[place] >= DATA.limit ? "draw" : "";
}

function begin(said) {
  place = DATA.start;
  comings = {[place]: 1};
  line = [];
  over = "";
  result = "";
  ahead = 0;
  before = position()[1];
  byId("store").textContent = "The machine has not moved yet.";
  return goOn(said);
}

// Let the machine move until the visitor is asked, or the game is over.
function goOn(said) {
  while (!(over = isOver()) && position()[0] === MACHINE) {
    const [, , key, by] = position();
    const found = lookUp(BigInt("0x" + key));
    const stored = found && found.move, move = found && (DATA.back.length ? DATA.back[by][stored] : stored);
    const edge = found && edgeOf(move);
    if (!edge) {
      over = "fault";
      return [...said, "THE STORE HOLDS NO MOVE FOR THIS BOARD."];
    }
    tellStore(key, found, stored, move);
    goAlong(edge);
    line.push("machine " + DATA.names[move]);
    said.push(DATA.says["machine-moves"] + " " + DATA.names[move].toUpperCase());
  }
  if (!over) return [...said, DATA.says.ask];
  said.push(DATA.says[over]);
  result = DATA.says[over];
  return DATA.at_once ? begin(said) : said;
}

function tellStore(key, found, stored, move) {
  const turned = DATA.back.length && stored !== move ? ", turned back " + DATA.names[move] : "";
  const inOne = DATA.store.columns[0][0] <= DATA.store.word_bits;
  const word = words[found.word].toString(16).padStart(DATA.store.digits, "0");
  byId("store").textContent = "The board is number " + BigInt("0x" + key) + " of the table. It stands in word " +
    found.word + (inOne ? " (" + word + " in hexadecimal)" : " and where it goes on") + ": move " +
    DATA.names[stored] + turned + ".";
}

// The class of an input, by its number, or a legal move.
function read(text) {
  const longest = DATA.form.kind === "key" ? 1 : DATA.form.longest, id = DATA.class_ids;
  if (text.length > longest) return {wrong: id["too-long"]};
  if (!text) return {wrong: DATA.form.kind === "key" ? id["not-understood"] : id.empty};
  const plain = text.replace(/[A-Z]/g, (letter) => letter.toLowerCase());
  const move = DATA.names.indexOf(plain);
  if (move < 0) return {wrong: shape.test(plain) ? id["off-board"] : id["not-understood"]};
  const reason = Number(position()[2][move]);
  return reason ? {wrong: DATA.reasons[reason - 1]} : {move};
}

function enter(text) {
  if (over) return begin(over === "fault" ? [] : [DATA.after_end]);
  const found = read(text);
  if (found.move !== undefined) {
    line.push("you " + DATA.names[found.move]);
    goAlong(edgeOf(found.move));
    return goOn([]);
  }
  const [message, effect] = DATA.answers[position()[3]][found.wrong];
  if (effect < 0) return [message, DATA.says.ask];
  line.push("you '" + text + "', " + DATA.classes[found.wrong] + " " + DATA.effects[effect - DATA.names.length]);
  goAlong(edgeOf(effect));
  return goOn([message]);
}

// The page ------------------------------------------------------------------------------------------------

const HOLDERS = {M: "machine", V: "you", _: "free"};
const player = (sign) => sign === "_" ? "" : (sign === "M") === (DATA.seat === 0) ? "first" : "second";

function show(said) {
  const board = DATA.boards[position()[1]], was = DATA.boards[before];
  if (byId("board").tagName === "PRE") {
    byId("board").textContent = board;
  } else {
    for (const cell of byId("board").querySelectorAll("[data-cell]")) {
      const at = cell.dataset.cell, sign = board[at];
      for (const part of cell.children) {
        const kind = part.classList;
        const shown = kind.contains("ring") ? sign !== "_" && sign !== was[at]
          : kind.contains("name") ? sign === "_" || kind.contains("always")
          : kind.contains(player(sign) || "nobody");
        part.style.display = shown ? "" : "none";
      }
    }
    for (const cell of byId("as-table").querySelectorAll("[data-cell]")) {
      cell.textContent = cell.textContent.split(":")[0] + ": " + HOLDERS[board[cell.dataset.cell]];
    }
    byId("as-table").querySelector("caption").textContent = "The board. " + said.join(". ") + ".";
  }
  byId("said").replaceChildren(...said.filter(Boolean).map((text) => {
    const row = document.createElement("span");
    row.textContent = text;
    return row;
  }));
  const score = DATA.scores ? ahead ? "; " + (ahead > 0 ? "the machine is " : "you are ") + Math.abs(ahead) + " ahead"
    : "; nobody is ahead" : "";
  const ended = over && result ? ": " + result : "";
  byId("line").textContent = line.length ? line.join("; ") + score + ended + "." : "none yet.";
  byId("enter").textContent = over ? "Next game" : "Enter";
}

function type(text) {
  before = position()[1];
  show(enter(text));
  byId("typed").value = "";
  byId("typed").focus();
}

byId("turn").addEventListener("submit", (event) => {
  event.preventDefault();
  type(byId("typed").value);
});
byId("typed").addEventListener("input", () => {
  if (DATA.form.kind === "key" && byId("typed").value) type(byId("typed").value[0]);
});
byId("board").addEventListener("click", (event) => {
  const cell = event.target.closest("[data-cell]");
  if (cell && !over && cell.dataset.types) type(cell.dataset.types);
});
byId("again").addEventListener("click", () => { show(begin([])); byId("typed").focus(); });
byId("play").hidden = false;
show(begin([]));
