// What a form asks of a client, and the document that the books keep of it.
import { filledIn } from "../../form/value";
import type { components } from "../../service/api";

export type Client = components["schemas"]["KeptClient"];

export interface ClientFields {
  name: string;
  address: string;
  telephone: string;
  mail: string;
  /** One a line. */
  disclosures: string;
  neighbours: { name: string; reach: string; abuts: boolean }[];
  note: string;
}

export const NO_CLIENT: ClientFields = {
  name: "",
  address: "",
  telephone: "",
  mail: "",
  disclosures: "",
  neighbours: [],
  note: "",
};

export const fieldsOf = (client: Client): ClientFields => ({
  name: client.name,
  address: client.address ?? "",
  telephone: client.telephone ?? "",
  mail: client.mail ?? "",
  disclosures: (client.disclosures ?? []).join("\n"),
  neighbours: (client.neighbours ?? []).map(({ name, reach, abuts }) => ({ name, reach, abuts })),
  note: client.note ?? "",
});

const linesOf = (text: string) =>
  text
    .split("\n")
    .map((line) => line.trim())
    .filter((line) => line !== "");

export function documentOf({ disclosures, neighbours, ...plain }: ClientFields): Client {
  const told = linesOf(disclosures);
  return {
    format: "tussock.kept-client/1",
    ...filledIn(plain),
    ...(told.length === 0 ? {} : { disclosures: told }),
    ...(neighbours.length === 0 ? {} : { neighbours }),
  };
}
