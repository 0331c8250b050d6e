//! The customer's page and what stands round it: what each offer adds, what the price promises, photos and where the shop is found; the link
//! as it is sent; the label; the journal in words.

use crate::common::{FORM, Shop, encoded};
use axum::body::{Body, to_bytes};
use axum::http::{Request, StatusCode};
use store::By;
use store::photos::{NewPhoto, Sent};
use tower::ServiceExt;
use units::money::show_price;

fn by() -> By<'static> {
    By { who: "ottilie", at: web::when::now() }
}

/// The smallest PNG that is a picture, with a text chunk that tells where it was taken (its sum is not looked at).
fn photo() -> Vec<u8> {
    let mut png = std::io::Cursor::new(Vec::new());
    image::DynamicImage::new_rgb8(2, 2).write_to(&mut png, image::ImageFormat::Png).unwrap();
    let mut png = png.into_inner();
    let text = b"tEXtComment\0taken at home";
    let mut chunk = u32::try_from(text.len() - 4).unwrap().to_be_bytes().to_vec();
    chunk.extend_from_slice(text);
    chunk.extend_from_slice(&[0; 4]);
    png.splice(33..33, chunk);
    png
}

impl Shop {
    async fn without_session(&self, path: &str) -> (StatusCode, Vec<u8>) {
        let response = self.router.clone().oneshot(Request::get(path).body(Body::empty()).unwrap()).await.unwrap();
        let status = response.status();
        (status, to_bytes(response.into_body(), 50_000_000).await.unwrap().to_vec())
    }

    async fn customer_reads(&self, path: &str) -> String {
        let (status, bytes) = self.without_session(path).await;
        assert!(status.is_success(), "{path}: {status}");
        String::from_utf8_lossy(&bytes).into_owned()
    }

    async fn owner_reads(&self, path: &str) -> String {
        let (status, _, bytes) = self.send(Request::get(path), "").await;
        assert!(status.is_success(), "{path}: {status}");
        String::from_utf8_lossy(&bytes).into_owned()
    }
}

fn shop() -> Shop {
    let shop = crate::common::surveyed("trumpet", &fixtures::demo::read("barely-measured"));
    let settings = "trueround_shop = 1\nname = \"Saltmarsh\"\nround_to = \"$1\"\naddress = [\"12 Lane\", \"Port Harrow\"]\ntelephone = \"555 0142\"\nemail = \"bench@saltmarsh.example\"\n";
    shop.app.store().set_setting(by(), web::app::SHOP, settings).unwrap();
    shop
}

#[tokio::test]
async fn each_offer_says_what_it_adds_and_none_is_chosen() {
    let shop = shop();
    let given = shop.submit(&format!("/jobs/{}/quote", shop.job), &[("prices", "estimate")]).await.0;
    assert!(given.is_redirection(), "{given}");
    let saved = shop.app.store().quotes_of(shop.job).unwrap().remove(0);
    let token = saved.token.clone().unwrap();
    let page = shop.customer_reads(&format!("/q/{token}")).await;
    let quote: quote::Quote = serde_json::from_str(&saved.body).unwrap();
    assert_eq!((quote.prices, quote.offers.len()), (quote::Prices::Estimate, 3));
    for offer in &quote.offers {
        assert!(page.contains(&offer.name) && page.contains(&show_price(offer.bill.total, "$")), "{}", offer.name);
        assert!(offer.bill.total.fract().is_zero(), "the shop rounds to whole dollars");
        if let Some((before, more)) = quote.more_than_before(offer) {
            assert!(page.contains(&format!("{} more than {}:", show_price(more, "$"), before.name)), "{}", offer.name);
            assert!(!offer.adds.is_empty() && offer.adds.iter().all(|words| page.contains(words.as_str())), "{:?}", offer.adds);
        }
    }
    assert!(!page.contains("checked"), "no offer is chosen for the customer");
    for wanted in ["Estimate", "We ask before it costs more", "Valid until", "12 Lane", "tel:5550142", "mailto:bench@saltmarsh.example"] {
        assert!(page.contains(wanted), "{wanted}");
    }
    // What was promised goes on into the agreement and the invoice, whatever the settings say later.
    let answer = encoded(&[("chosen", "good"), ("name", "A. Parent"), ("signature", ""), ("answer", "yes")]);
    let request = Request::post(format!("/q/{token}")).header("content-type", FORM).body(Body::from(answer)).unwrap();
    assert!(shop.router.clone().oneshot(request).await.unwrap().status().is_redirection());
    assert!(shop.owner_reads(&format!("/jobs/{}/hand-back", shop.job)).await.contains("Dents out, estimate"));
    assert!(shop.owner_reads(&format!("/jobs/{}/quote", shop.job)).await.contains("estimate"));
}

#[tokio::test]
async fn the_customer_sees_the_photos_that_were_chosen_and_no_other() {
    let shop = shop();
    let store = shop.app.store();
    crate::common::give(&shop.app, by(), shop.job, "the-link");
    let ids: Vec<i64> = (0..2)
        .map(|i| {
            match store.add_photo(by(), shop.job, &NewPhoto { made_as: Some(["a", "b"][i]), ..NewPhoto::default() }, &photo()).unwrap() {
                Sent::Kept(id, _) => id,
                Sent::DentNotYet => panic!("it is kept"),
            }
        })
        .collect();
    let at = |id: i64| format!("/q/the-link/photos/{id}");
    assert!(!shop.customer_reads("/q/the-link").await.contains("/photos/"));
    assert_eq!(shop.without_session(&at(ids[0])).await.0, StatusCode::NOT_FOUND);
    let shown = shop.submit(&format!("/jobs/{}/quote/photos", shop.job), &[(&format!("photo_{}", ids[0]), "yes")]).await.0;
    assert!(shown.is_redirection(), "{shown}");
    let page = shop.customer_reads("/q/the-link").await;
    assert!(page.contains(&at(ids[0])) && !page.contains(&at(ids[1])));
    let (status, bytes) = shop.without_session(&at(ids[0])).await;
    assert!(status.is_success() && !bytes.windows(13).any(|w| w == b"taken at home"), "its file tells nothing beside the picture");
    assert_eq!(shop.without_session(&at(ids[1])).await.0, StatusCode::NOT_FOUND);
    assert_eq!(shop.without_session(&format!("/q/another-link/photos/{}", ids[0])).await.0, StatusCode::NOT_FOUND);
    // Taken out of the job it is gone here too; of a link that was closed as well.
    store.show_photo(by(), shop.job, ids[0], false).unwrap();
    assert_eq!(shop.without_session(&at(ids[0])).await.0, StatusCode::NOT_FOUND);
    store.show_photo(by(), shop.job, ids[0], true).unwrap();
    assert!(shop.without_session(&at(ids[0])).await.0.is_success());
    store.revoke_link(by(), shop.job, store.quotes_of(shop.job).unwrap()[0].id).unwrap();
    assert!(!shop.without_session(&at(ids[0])).await.0.is_success());
}

#[tokio::test]
async fn a_link_is_sent_by_draft_code_or_copy_and_that_is_noted() {
    let shop = shop();
    crate::common::give(&shop.app, by(), shop.job, "the-link");
    let page = shop.owner_reads(&format!("/jobs/{}/quote", shop.job)).await;
    for wanted in ["mailto:?subject=", "%2Fq%2Fthe-link", "data-copy", "QR code of the customer", "Hello%20Fen%20Road%2C%0D%0A"] {
        assert!(page.contains(wanted), "{wanted}");
    }
    let quote = shop.app.store().quotes_of(shop.job).unwrap()[0].id.to_string();
    let path = format!("/jobs/{}/quote/sent", shop.job);
    assert!(shop.submit(&path, &[("quote", &quote), ("how", "pigeon")]).await.0.is_client_error());
    assert!(shop.submit(&path, &[("quote", &quote), ("how", "email")]).await.0.is_redirection());
    assert!(shop.owner_reads(&format!("/jobs/{}/quote", shop.job)).await.contains("Sent by e-mail"));
    let journal = shop.owner_reads("/journal?kind=quotes").await;
    assert!(journal.contains("sent the link of the quote by e-mail") && journal.contains("gave a quote"), "{journal}");
    assert!(journal.contains("Ottilie") && journal.contains(", Fen Road"), "who, and which job, by their names");
}

#[tokio::test]
async fn the_label_says_whose_it_is_and_its_code_survives_another_address() {
    let shop = shop();
    let store = shop.app.store();
    let job = store.job(shop.job).unwrap();
    store.set_accessories(by(), shop.job, job.version, &["case", "mouthpiece"]).unwrap();
    let tag = store.instrument(job.instrument).unwrap().tag;
    let label = shop.owner_reads(&format!("/instruments/{}/label", job.instrument)).await;
    for wanted in [tag.as_str(), "Fen Road", "In the case: case, mouthpiece", "The code holds the tag alone"] {
        assert!(label.contains(wanted), "{wanted}");
    }
    // The field that finds jobs understands the tag and any address round it.
    for scanned in [tag.clone(), format!("https%3A%2F%2Fold-name.example%2Ftags%2F{tag}")] {
        assert!(shop.owner_reads(&format!("/?find={scanned}")).await.contains(&format!("/jobs/{}", shop.job)), "{scanned}");
    }
}

#[tokio::test]
async fn the_journal_is_found_by_job_person_and_day() {
    let shop = shop();
    let job = shop.job;
    let whole = shop.owner_reads("/journal").await;
    assert!(whole.contains("opened the job") && whole.contains("added dent"), "{whole}");
    let tag = shop.app.store().board_line(job).unwrap().tag;
    for about in [job.to_string(), tag] {
        let found = shop.owner_reads(&format!("/journal?about={about}&kind=jobs")).await;
        assert!(found.contains("opened the job") && !found.contains("added dent"), "{about}");
    }
    assert!(shop.owner_reads("/journal?about=T99999").await.contains("no instrument with that tag"));
    assert!(shop.owner_reads("/journal?who=nobody").await.contains("Nothing was found"));
    assert!(shop.owner_reads("/journal?until=2001-01-01").await.contains("Nothing was found"));
}

/// Who has chosen no unit, a customer or a new tablet, is told the shop's, after a new start too; a tablet's own choice counts before it.
#[tokio::test]
async fn who_has_chosen_no_unit_is_told_the_shop_s() {
    let shop = crate::common::surveyed("trumpet", &fixtures::demo::read("linnet-trumpet"));
    let page = format!("/jobs/{}/plan", shop.job);
    // Which of the page's two units is told, and whether it speaks it.
    let told = |page: &str, unit: &str| {
        page.contains(&format!("data-told=\"{unit}\" aria-pressed=\"true\"")) && page.contains(&format!(" {unit}"))
    };
    assert!(told(&shop.owner_reads(&page).await, "mm"));
    let (status, refused) = shop.submit("/shop/lengths", &[("lengths", "cubits")]).await;
    assert!(status == StatusCode::UNPROCESSABLE_ENTITY && refused.contains("inches or millimeters"), "{status}: {refused}");
    assert!(shop.submit("/shop/lengths", &[("lengths", "in")]).await.0.is_redirection());
    assert!(told(&shop.owner_reads(&page).await, "in"));
    let tablet = shop.send_as(Request::get(&page), "trueround_units=mm", "").await.2;
    assert!(told(&String::from_utf8_lossy(&tablet), "mm"));
    assert!(shop.owner_reads("/shop").await.contains("value=\"in\" checked"));
    // It stands in the record.
    assert!(web::App::new(store::Store::open(shop.dir.path()).unwrap(), false).lengths().inches());
}
