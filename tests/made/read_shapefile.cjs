// Reads shapefile sets with the npm package `shapefile`, which shares nothing with GDAL; one line of GeoJSON each.
const { read } = require("shapefile");

(async () => {
  for (const path of process.argv.slice(2)) {
    console.log(JSON.stringify(await read(path)));
  }
})();
