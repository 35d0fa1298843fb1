// A photo as it is kept: at most 1,600 px long, as JPEG.
const LONGEST_PX = 1600;

async function shrunk(file) {
  const picture = await createImageBitmap(file, { imageOrientation: "from-image" });
  const factor = Math.min(1, LONGEST_PX / Math.max(picture.width, picture.height));
  const canvas = document.createElement("canvas");
  canvas.width = Math.round(picture.width * factor);
  canvas.height = Math.round(picture.height * factor);
  canvas.getContext("2d").drawImage(picture, 0, 0, canvas.width, canvas.height);
  picture.close();
  const blob = await new Promise((done) => canvas.toBlob(done, "image/jpeg", 0.8));
  if (!blob) throw new Error("this phone cannot read the photo; take it again");
  return { id: newId(), jpeg: await blob.arrayBuffer() };
}
