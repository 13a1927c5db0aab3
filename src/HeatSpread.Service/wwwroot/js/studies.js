import { header } from './header.js';
header('studies.html');
