//! A picture as others see it: uploaded, encrypted where the room is, and said in words beside it.

use std::io::Cursor;

use matrix_sdk::{Client, Error, Room};
use serde_json::{Value, json};

use crate::picture::Picture;

/// Uploads a picture for a room, and gives what its event says of it. Uploading it again is harmless: only the event is seen.
pub(super) async fn upload(client: &Client, room: &Room, picture: &Picture) -> Result<Value, Error> {
    let mut content = about(picture);
    if room.latest_encryption_state().await?.is_encrypted() {
        let file = client.upload_encrypted_file(&mut Cursor::new(&picture.png)).await?;
        content["file"] = serde_json::to_value(file)?;
    } else {
        let uploaded = client.media().upload(&mime::IMAGE_PNG, picture.png.clone(), None).await?;
        content["url"] = json!(uploaded.content_uri);
    }
    Ok(content)
}

/// Its type, its name and its size (Matrix client-server API, `m.image`). With a file name beside it, the body of the
/// message is the picture's caption.
fn about(picture: &Picture) -> Value {
    json!({
        "msgtype": "m.image",
        "filename": picture.file_name,
        "info": { "mimetype": "image/png", "size": picture.png.len(), "w": picture.width, "h": picture.height },
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_image_says_how_large_it_is() {
        let picture = Picture {
            file_name: "bins.png".into(),
            title: "The bins".into(),
            alt: "The bins. Green: filling.".into(),
            png: vec![0; 1234],
            width: 1080,
            height: 900,
        };
        let info = json!({ "mimetype": "image/png", "size": 1234, "w": 1080, "h": 900 });
        assert_eq!(about(&picture), json!({ "msgtype": "m.image", "filename": "bins.png", "info": info }));
    }
}
