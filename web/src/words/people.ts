/** Words of people: who may sign in as what, one's own way in, certificates. */
export const ROLES = ["owner", "planner", "technician", "client"] as const;
export type Role = (typeof ROLES)[number];

/** What each role may do, in plain words; the server decides. */
export const roleSays: Record<Role, string> = {
  owner: "Everything, with who may sign in, the business, and what happened at the door.",
  planner:
    "Plans visits, and keeps clients, people, properties, labels, equipment and stock. Keeps counts and records too.",
  technician: "Sees the work, and keeps counts and records. Changes no plan, property, label or stock.",
  client: "Sees what concerns their own property, and changes nothing.",
};

export const people = {
  title: "People",
  forOwners: "Who may sign in is for owners to see and to change.",
  forWorkers: "This page is for people who work here.",
  signIns: "Who may sign in",
  none: "Nobody may sign in yet.",
  atHome:
    "On this machine alone nobody signs in: whoever sits here is the owner. Sign-ins count as soon as the server is reached from other devices, such as a phone in the yard.",
  firstOwner:
    "Make the first owner below, or at the machine with the first command. Then stop this server and start it for the devices of the house with the second:",
  commands: ["tussock serve owner --name NAME --books books.db", "tussock serve --lan --books books.db"],
  hasOwner: "There is an owner. Stop this server and start it for the devices of the house:",
  you: "this is you",
  closed: "closed: opens nothing",
  hasSecondFactor: "with a second factor",
  noSecondFactor: "password alone",
  sessions: (count: number, seen: string) =>
    count === 0
      ? "signed in nowhere"
      : `${count === 1 ? "signed in once" : `signed in ${count} times`}, last used ${seen}`,
  client: (title: string) => `for ${title}`,
  lostClient: "for a client whom the books no longer keep",
  made: (day: string) => `made ${day}`,
  roles: "What each role may do",
  role: "Role",
  add: "Let somebody sign in",
  name: "Name",
  nameHint: "What the person types to sign in.",
  addIt: "Make the sign-in",
  restored: (when: string) =>
    `What was typed until ${when} was found on this device; a password is not kept there.`,
  added: (name: string) => `${name} may sign in now.`,
  firstPassword: "First password",
  firstPasswordHint:
    "12 characters or more that nobody guesses. Tell it to the person by voice or on paper; they change it after signing in.",
  whichClient: "Which client",
  chooseClient: "Choose a client",
  noClient:
    "The books keep no client yet. Keep one first, and say on the property whose it is: then its people can be let in.",
  clientSees: (properties: readonly string[]) =>
    properties.length === 0
      ? "No property belongs to this client yet: they would see nothing."
      : `They see: ${properties.join(", ")}.`,
  giveRole: "Give this role",
  roleGiven: (name: string, role: string) => `${name} is ${role} now, and signs in again.`,
  newPassword: "New password",
  newPasswordHint:
    "12 characters or more that nobody guesses. Every session of theirs ends, and they sign in with it.",
  setPassword: "Set the password",
  passwordSet: (name: string) => `${name} has a new password, and signs in again.`,
  endSessions: "End their sessions",
  sessionsEnded: (name: string) => `${name} is signed in nowhere now.`,
  endSecondFactor: "End their second factor",
  endSecondFactorSays:
    "For who lost the phone and the recovery codes. Know for certain who asks: see or hear the person.",
  secondFactorEnded: (name: string) => `${name} signs in with the password alone now.`,
  close: "Close this sign-in",
  closeSays: "It opens nothing from then on; what the person kept stays. It can be opened again.",
  closedNow: (name: string) => `${name} cannot sign in any more.`,
  open: "Open it again",
  openedNow: (name: string) => `${name} may sign in again.`,
  change: (name: string) => `Change what ${name} may do`,
  sure: (deed: string, name: string) => `${deed}: ${name}?`,
  yes: "Yes",
  no: "No, leave it",
  own: "Change your own password, second factor and other sessions at",
  trail: "What happened at the door",
  trailSays: "Who came in or was refused, and what owners changed. Nothing is ever taken from it.",
  when: "When",
  who: "Who",
  what: "What",
  outcome: "How it ended",
  address: "From",
  nobody: "nobody",
  earlier: "Show what was before",
  nothingHappened: "Nothing has happened yet.",
};

export const certificates = {
  title: "Certificates and training",
  none: "The books keep no person yet.",
  says: "Of the people whom the books keep. A visit is refused or warned of where nobody may carry it out.",
  noCertificate: "no certificate is kept",
  categories: {
    "ornamental-and-turf": "ornamental plants and turf",
    structural: "industrial, institutional and structural",
    "public-health": "public health",
    "right-of-way": "rights of way",
    aquatic: "water",
    agricultural: "agricultural",
  },
  holds: (number: string, place: string) => `Certificate ${number}, ${place}`,
  valid: (from: string | null, until: string) =>
    from === null ? `valid until ${until}` : `valid from ${from} until ${until}`,
  /** How a certificate stands, by the days that are left. */
  ran: (days: number) => (days === 1 ? "ran out yesterday" : `ran out ${days} days ago`),
  runs: (days: number) =>
    days === 0 ? "runs out today" : days === 1 ? "runs out tomorrow" : `runs out in ${days} days`,
  holdsNow: "holds",
  notYet: (day: string) => `holds from ${day}`,
  trained: (kind: string, day: string, by: string) => `${kind}, ${day}, by ${by}`,
  kinds: {
    "noncertified-applicator": "Training of noncertified applicators",
    handler: "Training of handlers",
    other: "Other training",
  },
  stale: "older than twelve months",
  staleSays:
    "Who has no certificate applies restricted use products only with training within twelve months (40 CFR 171.201).",
  due: (count: number) =>
    count === 1
      ? "One certificate has run out or soon will:"
      : `${count} certificates have run out or soon will:`,
  allHold: (days: number) => `No certificate runs out within ${days} days.`,
};

export const own = {
  title: "Your sign-in",
  as: (name: string, role: string) => `You are signed in as ${name}, ${role}.`,
  atHome: "On this machine alone nobody signs in: there is no password and no session.",
  toPeople: "Who may sign in from other devices",
  wanted:
    "This server asks owners for a second factor. Begin one and confirm it here: until then nothing else opens.",
  password: "Change the password",
  passwordSays: "Every session of yours ends, this one too: you sign in with the new one.",
  present: "Present password",
  fresh: "New password",
  freshHint: "12 characters or more that nobody guesses: several words that do not belong together.",
  changeIt: "Change it",
  secondFactor: "Second factor",
  secondFactorSays:
    "A program on the phone makes codes of six digits (RFC 6238). With it, a password that somebody saw opens nothing.",
  hasNone: "Signing in asks for the password alone.",
  hasOne: (day: string, left: number) =>
    `Signing in asks for a code since ${day}. ${left === 1 ? "One recovery code is" : `${left} recovery codes are`} left.`,
  fewLeft: "Few recovery codes are left: end the second factor and begin a new one for ten fresh ones.",
  begin: "Begin a second factor",
  scan: "Let the program on the phone read this picture, or type the letters below it.",
  picture: "QR code with the secret of the second factor",
  onThisPhone: "Open it in the program on this phone",
  secret: "The secret, to be typed",
  code: "Code that the program shows now",
  confirm: "Confirm",
  recovery: "Recovery codes",
  recoverySays:
    "Each signs in once in the stead of a code, where the phone is lost. They are shown this once: print them or write them down, and lock them away.",
  print: "Print them",
  putAway: "They are put away",
  confirmed: "From now on signing in asks for a code.",
  end: "End the second factor",
  endSays: "Its recovery codes and every session of yours end with it.",
  endCode: "A code, or a recovery code",
  endIt: "End it",
  others: "Your other sessions",
  noOthers: "You are signed in nowhere else.",
  other: (began: string, seen: string) => `begun ${began}, last used ${seen}`,
  endOthers: "End them",
  othersEnded: "You are signed in here alone now.",
  mayDo: "What your role may do",
};

export const password = {
  show: "Show what is typed",
  make: "Make one by chance",
};

export const personForm = {
  add: "Keep a person",
  change: (name: string) => `Change what is kept of ${name}`,
  name: "Name",
  telephone: "Telephone",
  telephoneHint: "At which a supervisor is reached.",
  certificate: (number: number) => `Certificate ${number}`,
  number: "Number, as printed",
  place: "Where it holds",
  placeHint: "A country, or a state as in US-KS.",
  forWhich: "For which kinds of work",
  categories: (number: number) => `Certificate ${number}: kinds of work`,
  from: "Valid from",
  fromHint: "Where it is printed.",
  until: "Valid until",
  addCertificate: "Add a certificate",
  trainings: "Training",
  materials: "Materials",
  training: (number: number) => `Training ${number}`,
  kind: "Which",
  day: "On",
  by: "Given by",
  addTraining: "Add a training",
  takeAway: (what: string) => `Take ${what} away`,
  note: "Note",
  keep: "Keep it",
  kept: (name: string) => `What was told of ${name} is in the books.`,
};
