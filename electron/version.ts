/** Version of the program, as it is written into job files and shown. */
import packageJson from '../package.json' with { type: 'json' };

export const APP_VERSION: string = packageJson.version;
