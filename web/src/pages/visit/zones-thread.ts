// The thread that asks for zones while a corner is dragged.
import { answerApart } from "../../service/apart";
import { zonesReader } from "./zones";

answerApart(zonesReader());
