/** Where the record store is, by the environment. */

/** The server named by STEPCALLER_DATABASE_URL, else what is given for the folder of the user. */
export function storePlaceFrom<E>(
  environment: Readonly<Record<string, string | undefined>>,
  embedded: E,
): { readonly kind: 'server'; readonly url: string } | ({ readonly kind: 'embedded' } & E) {
  const url = environment.STEPCALLER_DATABASE_URL;
  return url === undefined || url === '' ? { kind: 'embedded', ...embedded } : { kind: 'server', url };
}
