import type { Obstacle } from "../map/edit";
import type { NoPosition } from "../map/walk";
import type { WorldFault } from "../map/photo";

const count = (number: number, one: string, more = `${one}s`) => `${number} ${number === 1 ? one : more}`;

/** Words of the list of properties. */
export const propertiesWords = {
  title: "Properties",
  search: "Search by name",
  find: "Search",
  all: "Show all",
  none: "The books keep no property yet.",
  nothing: (text: string) => `No property is called anything with “${text}”.`,
  fresh: "New property",
  more: "Show more",
  kept: (version: number, day: string) => `version ${version}, kept ${day}`,
  drafts: "Not yet kept, on this device alone",
  draftNew: (name: string, begun: string) => `${name === "" ? "A new property" : name}, begun ${begun}`,
  draftChanged: (name: string) => `Changes to ${name === "" ? "a property" : name}`,
  list: "Properties in the books",
};

/** Words of one property and its map. */
export const propertyWords = {
  titleNew: "New property",
  map: (name: string) => `Map of ${name || "the property"}`,
  mapTold: "The shapes of the map stand in the list beside it, with every corner in a table.",
  efficacy: "Did it work?",
  planHere: "Plan a visit here",
  lies: "What lies on it",
  versions: "Earlier versions",
  gone: "This property was given up.",

  save: "Save",
  saving: "Being saved",
  saved: "Saved in the books.",
  unsaved: "Not saved yet. Kept on this device meanwhile.",
  unsavedHere: "Not saved yet.",
  second: "This property is open in another window, which keeps its draft: save here before you leave.",
  same: "All is saved.",
  unanswered:
    "This was sent, and no answer came. Saving it again asks for that answer first, so that it is there once; what was changed since becomes its next version.",
  restored: (when: string) => `Your draft of ${when} was kept on this device and is back.`,
  drop: "Drop the draft",
  dropSure: "Drop all that is not saved?",
  keepDraft: "Keep it",
  noStore: "This browser keeps no drafts: save before you leave the page.",
  needsName: "A property needs a name.",

  particulars: "Name and address",
  name: "Name",
  address: "Address",
  client: "Client",
  noClient: "Nobody",
  jurisdiction: "State or province",
  jurisdictionHint: "Its code, such as US-GA.",
  completeSince: "Every application is in the books since",
  completeSinceHint: "Leave it empty where nobody can say.",
  note: "Note",

  fieldNames: {
    name: "Name",
    address: "Address",
    client: "Client",
    jurisdiction: "State or province",
    complete_since: "Every application is in the books since",
    note: "Note",
  },

  place: "Where is it?",
  placeSays:
    "Say where the south-west corner of the lot is, about. Corners are counted from there in feet or metres. Or take in a map that you have.",
  latitude: "Latitude",
  longitude: "Longitude",
  degrees: "degrees",
  latitudeHint: "North is positive, such as 38.84.",
  longitudeHint: "West is negative, such as -97.62.",
  begin: "Begin here",
  noDegrees: "Latitude is a number from -90 to 90 and longitude one from -180 to 180.",
  hereAndNow: "Take this device's position",

  tools: "Tools",
  draw: "Draw",
  kind: "What it is",
  form: "Drawn as",
  forms: { area: "Area", line: "Line", point: "Point" },
  finish: "Finish",
  backCorner: "Back a corner",
  giveUp: "Give up",
  undo: "Undo",
  redo: "Redo",
  hole: "Cut a hole",
  split: "Split",
  move: "Move",
  moveDone: "Done moving",
  remove: "Delete",
  removeCorner: "Delete corner",
  chooseFirst: "Press a shape on the map or in the list to work on it.",
  drawing: {
    draw: (kind: string, form: string) =>
      form === "point"
        ? `Press where the ${kind} is.`
        : `${kind}: press one corner after the other. Press the first once more, or Finish.`,
    hole: "Press the corners of the hole, inside the shape.",
    split: "Press where the cut begins, outside the shape or on its outline, and where it ends; then Finish.",
    move: "Drag the shape. Its neighbours stay.",
    photoPoints: "Press two places on the photo whose distance you know.",
    photoMove: "Drag the photo.",
  },
  sketch: (corners: number, length: string, area: string) =>
    [count(corners, "corner"), length && `${length} round`, area].filter((part) => part !== "").join(", "),
  stale: "The figures wait for the server.",

  totals: "The property",
  area: "Lot",
  perimeter: "Round the lot",
  lawn: "Lawn",
  lawnLeft: "Lawn, what is left of the lot",
  noTotals: "Areas of the lot are told when nothing on the map is wrong.",

  problems: "What to mend",
  noProblems: "Nothing is wrong with the map.",
  problemCount: (errors: number, warnings: number) => `${count(errors, "error")}, ${warnings} to look at`,
  show: "Show on the map",
  problemNumber: (number: number) => `(number ${number})`,
  mendFor: "Mend it for me",
  mended: (changes: string) => `Mended: ${changes}. Undo takes it back.`,
  noMend: "Nothing here has one mend only: a person must choose.",

  shapes: "Shapes",
  noShapes: "Nothing is drawn yet. Draw the boundary of the lot first.",
  add: "Add a shape by figures",
  addSays:
    "For whoever draws without a pointer: a rectangle, a line or a point to begin with. Its corners can be changed in the table.",
  addIt: "Add",
  east: "East",
  north: "North",
  width: "Width, to the east",
  depth: "Depth, to the north",
  shape: (name: string, kind: string) => (name === kind ? kind : `${name}: ${kind}`),
  wrong: (problems: number) => count(problems, "problem"),
  notDrawn: "without a shape that can be drawn",
  id: "Short name",
  idHint: "The word by which visits name it.",
  called: "What people call it",
  shapeNote: "Note",
  inBloom: "In bloom",
  blooms: { unknown: "Nobody looked", yes: "Yes", no: "No" },
  seenOn: "Seen on",
  wallHeight: "Wall height, ground to eaves",
  eaves: "Eaves stand out by",
  lengthHint: "With its unit, such as 9 ft.",
  intermittent: "Dry for part of the year",
  openings: "Openings in the walls",
  openingsSay: "Doors and windows are not sprayed. A door needs no sill.",
  opening: { what: "What", width: "Width", height: "Height", sill: "Sill above ground" },
  addOpening: "Add an opening",
  removeOpening: (what: string) => `Take ${what || "the opening"} away`,
  areaIs: "Area",
  roundIs: "Round it",
  lengthIs: "Length",
  moveBy: "Move the whole shape",
  moveIt: "Move it",

  corners: (called: string) => `Corners of ${called}`,
  cornersSay: (unit: string) =>
    `In ${unit}, counted from the lot's south-west corner as it was when the page was opened. A length moves the next corner along the edge.`,
  run: { outline: "Outline", hole: "Hole", line: "Line", point: "Point" },
  runOf: (word: string, part: number, parts: number, hole: number) =>
    [word, hole > 0 ? String(hole) : "", parts > 1 ? `of part ${part}` : ""]
      .filter((one) => one !== "")
      .join(" "),
  corner: "Corner",
  toNext: "To the next",
  cornerEast: (corner: number, unit: string) => `Corner ${corner}, east in ${unit}`,
  cornerNorth: (corner: number, unit: string) => `Corner ${corner}, north in ${unit}`,
  edge: (corner: number, unit: string) => `Length from corner ${corner} to the next, in ${unit}`,
  addBehind: (corner: number) => `Add a corner behind corner ${corner}`,
  takeCorner: (corner: number) => `Delete corner ${corner}`,
  fillHole: "Fill this hole",
  shared: (others: number) => `shared with ${count(others, "other shape")}`,
  badLength: (text: string) =>
    `“${text}” is no length. Write a number, or one with its unit, such as 12 ft 6 in.`,
  badEdge: "An edge is longer than nothing.",

  done: {
    drawn: (called: string) => `${called} was drawn.`,
    moved: "Moved.",
    corner: (others: number) =>
      others > 0
        ? `The corner was moved, with ${count(others, "shape")} that share it.`
        : "The corner was moved.",
    added: "The corner was added.",
    cornerRemoved: "The corner was deleted. Undo brings it back.",
    filled: "The hole was filled.",
    removed: (called: string) => `${called} was deleted. Undo brings it back.`,
    hole: "The hole was cut.",
    split: (one: string, other: string) => `Split into ${one} and ${other}.`,
    undone: "One step was taken back.",
    redone: "The step was taken again.",
    length: "The length was set.",
    imported: (shapes: number) => `${count(shapes, "shape")} taken in.`,
  },
  obstacles: {
    "too-few-corners": "An area has at least three corners, and a line two.",
    "edge-too-short": "This edge is too short for another corner.",
    "no-length": "Both ends of this edge are at one place: move one of them first.",
    "no-area": "A point cannot be split.",
    "hole-outside": "The hole leaves the shape. Press all its corners inside.",
    "hole-in-hole": "The hole meets another hole of the shape. Move a corner of that one instead.",
    "cut-misses": "The cut does not cross the shape from one side to another.",
    "cut-many": "The cut crosses the outline more than twice. Make one cut after the other.",
    "cut-hole": "The cut runs through a hole. Cut beside it, or fill the hole first.",
    "no-cut": "A cut has a beginning and an end.",
  } satisfies Record<Obstacle, string>,

  files: "Take in and hand out",
  importFile: "Take in a map: GeoJSON, KML or GPX",
  importing: (file: string, format: string) => `What is in ${file} (${format})`,
  importSays:
    "Say what each shape is; leave out what is not wanted. Nothing on the map changes until you take it in.",
  importNothing: (file: string) => `Nothing of ${file} was taken in, and the map is as it was.`,
  take: "Take in",
  takeChosen: (shapes: number) => `Take in ${count(shapes, "shape")}`,
  leave: "Leave it",
  wanted: (name: string) => `Take in ${name}`,
  kindOf: (name: string) => `What ${name} is`,
  noKind: "Say what it is",
  asArea: "as an area",
  closeIt: (name: string) => `Close ${name} to an area`,
  corners_: (corners: number) => count(corners, "corner"),
  importProblems: "What is wrong in the file. It can be taken in and mended on the map.",
  exportFile: "Hand out the map as GeoJSON",

  photo: "Photo to draw over",
  photoSays: "It stays on this device and is no part of what is saved.",
  photoFile: "Photo",
  noPicture: (file: string) =>
    `${file} is no picture that this browser reads. Take a JPEG, PNG or WebP picture.`,
  photoStrength: "How strong it shows",
  photoMove: "Move the photo",
  photoMoveDone: "Done moving",
  photoTurn: "Turn clockwise by",
  photoTurnUnit: "degrees",
  photoTurnIt: "Turn",
  photoTwo: "Scale by two places",
  photoTwoSays:
    "Press two places on the map whose distance you know, or write their offsets; then say the distance.",
  photoPress: "Press the two places",
  photoPlace: (letter: string, way: string) => `Place ${letter}, ${way}`,
  photoApart: "Distance from A to B",
  photoScale: "Scale the photo",
  photoScaled: "The photo was scaled.",
  photoSame: "Both places are the same. Press two places that lie apart.",
  photoWorld: "World file (.jgw, .pgw, .wld)",
  photoPlaced: "The photo lies where the world file says.",
  worldFaults: {
    lines: "A world file has six numbers, a line each.",
    "not-degrees":
      "This world file does not count in degrees of longitude and latitude. Export the photo in WGS 84 (EPSG:4326), or scale it by two places.",
  } satisfies Record<WorldFault, string>,
  nudge: (way: string, unit: "ft" | "m") => `Move the photo ${unit === "ft" ? "1 ft" : "25 cm"} ${way}`,
  photoDrop: "Take the photo away",

  walk: "Walk a boundary",
  walkSays: "Stand still at each corner, and say so: its readings are averaged from then on.",
  walkEnd: "End the walk",
  walkNow: (accuracy: string, readings: number, spread: string) =>
    `Off by up to ${accuracy}. ${count(readings, "reading")} at this stop, ${spread} apart.`,
  walkWait: "The device looks for its position.",
  walkOn: "Go to the next corner, stand still, and say so.",
  walkStand: "I stand at a corner",
  walkTake: "Take this corner",
  walkMoved: "You moved: readings begin anew.",
  walkCorner: (corners: number) => `Corner ${corners} was taken.`,
  noPosition: {
    insecure:
      "The browser tells positions only to a page that came over https or from this machine. Open the address that begins with https.",
    missing: "This browser tells no position.",
    forbidden: "The browser may not tell your position. Allow it for this page in the browser's settings.",
    unknown: "The device does not find its position. Go where the sky is open and wait a little.",
  } satisfies Record<NoPosition, string>,

  conflict: "Somebody kept another version",
  conflictSays: (who: string, version: number) =>
    `${who} kept version ${version} while you drew. Nothing is overwritten: choose what holds, look at the result, and save it.`,
  conflictMap: "Shapes that differ",
  conflictFields: "Particulars that differ",
  fates: {
    same: "unchanged",
    changed: "changed",
    added: "added",
    gone: "deleted",
  },
  fate: (mine: string, theirs: string) => `here ${mine}, there ${theirs}`,
  nothing: "nothing",
  joined: "Both are put together. Look at the map and save.",
  noDifference: "Nothing differs: only the version is a new one.",
};

/** Words of the versions of a property. */
export const versionWords = {
  title: (name: string) => `Versions of ${name}`,
  back: "To the property",
  version: (number: number) => `Version ${number}`,
  kept: (day: string, who: string) => `kept ${day} by ${who}`,
  newest: "the newest",
  discarded: "given up",
  choose: "Show a version",
  compare: "Beside the newest",
  same: "The map is the same as the newest.",
  difference: (id: string, fate: string) => `${id}: ${fate}`,
  fates: {
    added: "was not there then",
    gone: "was there, and is no more",
    changed: "was different",
  },
  take: "Take this version up again",
  takeSays: "It becomes a draft on the property's page; nothing is saved until you save it.",
  map: (number: number) => `Map of version ${number}`,
};

/** Words of files that no map can be made of. */
export const foreignWords = {
  pdf: {
    found: "the file is a PDF, which holds a picture of a map and no shapes",
    expected: "a GeoJSON, KML or GPX file",
    mend: "export the map as GeoJSON or KML, or take a picture of the page in as a photo and draw over it",
  },
  packed: {
    found: "the file is packed (zip, KMZ, Shapefile or an office file)",
    expected: "a GeoJSON, KML or GPX file",
    mend: "unpack it and take in the .kml or .geojson inside, or export the map as GeoJSON",
  },
  picture: {
    found: "the file is a picture and holds no shapes",
    expected: "a GeoJSON, KML or GPX file",
    mend: "take it in as a photo and draw over it",
  },
  tooLarge: {
    found: "the file is larger than 20 MB",
    expected: "the map of one property",
    mend: "export the one lot and what stands on it",
  },
  empty: {
    found: "the file is empty",
    expected: "a GeoJSON, KML or GPX file",
    mend: "export or copy it once more",
  },
  badXml: (line: number) => ({
    found: `the file is XML that breaks off at line ${line}`,
    expected: "a whole KML or GPX file",
    mend: "export or copy it once more",
  }),
  otherXml: (root: string) => ({
    found: `the file is XML of another kind: its root is \`${root}\``,
    expected: "`kml` or `gpx`",
    mend: "export the map as GeoJSON, KML or GPX",
  }),
  noShapes: {
    found: "the file has no place, line or outline in it",
    expected: "placemarks with shapes, waypoints, routes or tracks",
    mend: "export the shapes themselves; a link to a map on a server holds none",
  },
};
