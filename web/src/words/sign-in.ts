/** Words of signing in and out. */
export const signIn = {
  title: "Sign in",
  name: "Name",
  password: "Password",
  show: "Show what is typed",
  code: "Code",
  codeHint: "Six digits that the program on your phone shows now, or one of your recovery codes.",
  codeWanted: "Name and password are right. This sign-in asks for a code as well.",
  because: {
    password: "Your password is changed. Sign in with the new one.",
    "second-factor": "Your second factor is ended. Sign in with the password alone.",
  },
  go: "Sign in",
  out: "Sign out",
  as: (name: string, role: string) => `${name}, ${role}`,
  again: (name: string) =>
    `The session of ${name} is over. What was typed is on this device, and comes back after signing in.`,
  leaving: "Not everything is in the books",
  leavingSays: (waiting: number, drafts: number) => {
    const deeds =
      waiting === 1 ? "one thing waits to be delivered" : `${waiting} things wait to be delivered`;
    const begun = drafts === 1 ? "one draft is not kept yet" : `${drafts} drafts are not kept yet`;
    const told = [waiting > 0 ? deeds : "", drafts > 0 ? begun : ""]
      .filter((part) => part !== "")
      .join(", and ");
    return `On this device ${told}. They stay here under your name until you sign in again. What was taken along is removed.`;
  },
  leave: "Sign out all the same",
  stay: "Stay signed in",
  atHome: "On this machine alone nobody signs in.",
};
