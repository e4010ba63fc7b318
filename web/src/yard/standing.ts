// Where the device stands: positions heard while a person stands still, averaged.

export interface Stood {
  longitude: number;
  latitude: number;
  accuracyM: number;
}

/** How long is listened, and how many positions are enough. */
const LISTEN_MS = 12_000;
const ENOUGH = 5;

/** The mean of the positions heard, the better ones counting more; `null` where none is told. */
export function mean(heard: readonly Stood[]): Stood | null {
  if (heard.length === 0) return null;
  let [longitude, latitude, weights] = [0, 0, 0];
  for (const one of heard) {
    const weight = 1 / Math.max(one.accuracyM, 0.5) ** 2;
    longitude += one.longitude * weight;
    latitude += one.latitude * weight;
    weights += weight;
  }
  // Positions of one stop share most of their error: their mean is told no better than the best of them.
  const accuracyM = Math.min(...heard.map((one) => one.accuracyM));
  return { longitude: longitude / weights, latitude: latitude / weights, accuracyM };
}

/** Listens until there are enough positions, or long enough. */
export function stand(): Promise<Stood | null> {
  return new Promise((resolve) => {
    if (!("geolocation" in navigator)) return resolve(null);
    const heard: Stood[] = [];
    const end = () => {
      clearTimeout(timer);
      navigator.geolocation.clearWatch(watching);
      resolve(mean(heard));
    };
    const timer = setTimeout(end, LISTEN_MS);
    const watching = navigator.geolocation.watchPosition(
      ({ coords }) => {
        heard.push({ longitude: coords.longitude, latitude: coords.latitude, accuracyM: coords.accuracy });
        if (heard.length >= ENOUGH) end();
      },
      () => end(),
      { enableHighAccuracy: true, maximumAge: 0, timeout: LISTEN_MS },
    );
  });
}
