/** Words of signing in and out. */
export const signIn = {
  title: "Sign in",
  name: "Name",
  password: "Password",
  go: "Sign in",
  out: "Sign out",
  as: (name: string, role: string) => `${name}, ${role}`,
  atHome: "On this machine alone nobody signs in.",
};
